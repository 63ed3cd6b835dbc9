"""Questions on simulated earth faults: who is protected while d.c. flows, which circuits go dark."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.equipment import EquipmentKind
from trainer.domain.faults.walk import FaultWalk, Mode, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, listed
from trainer.domain.questions.answering import Reason, others, several, several_slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import BOARD, breaker, charger, circuit, house, item, rcbo, rccb, tt_earth
from trainer.domain.vocabulary import FrontEnd, ResidualDelay

HEAD: Final = "head"
NOBODY: Final = "nobody"
_SOURCES: Final[Mapping[str, tuple[str, ...]]] = {
    "pump": ("pump",),
    "one_car": ("car_1",),
    "two_cars": ("car_1", "car_2"),
}
_DRAWN: Final[Mapping[str, tuple[tuple[str, str, str], ...]]] = {
    "shared": (("one_car", "A", "A"), ("one_car", "F", "A"), ("one_car", "A", "B"), ("one_car", "A", "F")),
    HEAD: (("two_cars", "A", "B"), ("two_cars", "F", "B")),
    NOBODY: (("two_cars", "A", "A"), ("two_cars", "A", "F"), ("pump", "A", "A"), ("pump", "F", "F")),
}
"""By who must act: what sends d.c., the type of the shared RCCB, and the type at the head."""


def _shared(source: str, shared: str, head: str) -> Installation:
    """Lights on a circuit-breaker below an RCCB that the sources of d.c. share."""
    records: list[Any] = [
        rccb(HEAD, head, 100.0, residual_delay=ResidualDelay.S),
        rccb("shared", shared, fed_by=HEAD),
        breaker("lights", fed_by="shared", rated_current_a=6.0),
        circuit("lights", "lights", luminaires=True),
        rcbo("other", fed_by=HEAD),
        circuit("other", "other", socket_outlets=True),
    ]
    for name in _SOURCES[source]:
        records.append(rcbo(f"way_{name}", "B" if name == "pump" else "A", fed_by="shared"))
        records.append(circuit(name, f"way_{name}"))
        records.append(_sender(name))
    return house(*records, **tt_earth(60.0))


def _sender(name: str) -> Any:
    if name == "pump":
        return item(name, name, EquipmentKind.HEAT_PUMP, front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE)
    return charger(name, name)


def _touched(of: Installation, source: str) -> FaultWalk:
    """The walk of a person who touches the line of the lights while the d.c. of the sources flows."""
    wanted = set(_SOURCES[source])
    for walk in fault_walks(of):
        is_it = walk.kind is WalkKind.CONTACT and walk.mode is Mode.MAINS and walk.place.circuit == "lights"
        if is_it and set(walk.flowing_from) == wanted:
            return walk
    raise RedrawError("nobody is touched while this d.c. flows")


@family(
    id="who_acts_while_dc_flows",
    title="Who acts while d.c. flows elsewhere",
    objectives=("LO03", "LO12"),
    rules=("RCD-07",),
    misconceptions=("M03", "M05", "M06", "M09", "M68"),
    form=AskForm.ONE,
    level=5,
)
def who_acts_while_dc_flows(desk: Desk) -> Draft:
    """The device that must act when somebody touches one circuit while faults of another already send smooth d.c."""
    draws = desk.draws
    source, shared, head = draws.choice(_DRAWN[draws.choice(tuple(_DRAWN))])
    of = _shared(source, shared, head)
    walk = _touched(of, source)
    right = walk.acts_first or NOBODY
    ids = ("shared", HEAD, "own", NOBODY)
    if right not in ids:
        raise RedrawError("a device acts that is none of the choices")
    reasons: dict[str, Reason] = {
        "shared": ("M09", "two_detectors") if source == "two_cars" else ("M05", "type_b"),
        HEAD: ("M06", "not_first") if right == "shared" else ("M06", "head_bears_no_more"),
        "own": ("M68", "not_on_the_path"),
        NOBODY: ("M03", "it_works" if right == "shared" else "head_works"),
    }
    step = walk.step_of("shared")
    return Draft(
        answers=(right,),
        slips=others(ids, right, lambda name: reasons[name]),
        choices=desk.choices(desk.draws.shuffled(ids), {"own": desk.label(f"own_{source}")}),
        values={
            "flows": desk.label(f"flows_{source}"),
            "shared": shared,
            "head": head,
            "place": desk.label(f"place_{draws.integer(1, 8)}"),
            "flowing": amount(0.0 if step is None else step.standing_dc_ma, "mA"),
            "touch": amount(walk.current.rms_ma, "mA", 0),
        },
        why=right,
        pack=(desk.sheet(_schedule(desk, {"head": head, "shared": shared, "sends": desk.label(f"sends_{source}")})),),
        leaves_hazard=True,
    )


def _schedule(desk: Desk, told: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """The board from the head down, as rows of a sheet."""
    return [(desk.label(f"row_{number}"), desk.label(f"told_{number}", told), "") for number in (1, 2, 3, 4)]


_HOUSEHOLD: Final = ("kitchen", "freezer", "upstairs")
_GARAGE: Final = ("car", "bench", "garden")
_BOARDS: Final[Mapping[str, tuple[tuple[float, str, str], ...]]] = {
    "one": ((300.0, "S", "S"), (500.0, "S", "S")),
    "garage": ((300.0, "S", "general"), (500.0, "S", "general")),
    "all": ((300.0, "general", "S"), (300.0, "general", "general"), (500.0, "general", "S")),
}
"""By what may go dark: the rating at the head, its time behaviour, and that of the RCCB of the garage."""


def _three_stages(head: tuple[float, str, str], electrode: float) -> Installation:
    """RCBOs without delay, three of them below an RCCB of 100 mA, all below a device at the head."""
    rating, delay, garage = head
    records: list[Any] = [
        rccb(HEAD, "A", rating, residual_delay=ResidualDelay(delay), fed_by=BOARD),
        rccb("garage", "A", 100.0, residual_delay=ResidualDelay(garage), fed_by=HEAD),
    ]
    for name in (*_HOUSEHOLD, *_GARAGE):
        records.append(rcbo(f"way_{name}", fed_by="garage" if name in _GARAGE else HEAD))
        records.append(circuit(name, f"way_{name}", socket_outlets=True))
    return house(*records, **tt_earth(electrode))


def _bolted(of: Installation, place: str) -> FaultWalk:
    """The walk of a fault of negligible impedance at the end of one circuit."""
    for walk in fault_walks(of):
        if walk.kind is WalkKind.BOLTED and walk.mode is Mode.MAINS and walk.place.circuit == place:
            return walk
    raise RedrawError(f"no fault at {place}")


@family(
    id="circuits_that_may_go_dark",
    title="Which circuits may go dark",
    objectives=("LO06", "LO07"),
    rules=("RCD-11",),
    misconceptions=("M06", "M37", "M68"),
    form=AskForm.SEVERAL,
    level=5,
)
def circuits_that_may_go_dark(desk: Desk) -> Draft:
    """Of six circuits below three stages of devices, those that a fault on one of them may switch off."""
    draws = desk.draws
    case = draws.choice(tuple(_BOARDS))
    head = draws.choice(_BOARDS[case])
    electrode, place = draws.stepped(20, 80, 5), draws.choice(_GARAGE)
    walk = _bolted(_three_stages(head, electrode), place)
    dark = {*walk.goes_dark, *walk.may_go_dark}
    ids = draws.shuffled((*_HOUSEHOLD, *_GARAGE))
    right = several(ids, dark)
    stages = {
        "head": desk.label(head[1], {"rating": amount(head[0], "mA")}),
        "garage": desk.label(head[2], {"rating": amount(100.0, "mA")}),
    }
    everything: Reason = ("M37", "head_waits") if case == "garage" else ("M68", "not_all")
    wrong: dict[Reason, tuple[str, ...]] = {
        ("M06", "one_only"): (place,),
        ("M06", "head_as_well") if case == "all" else ("M37", "garage_waits"): _GARAGE,
        everything: (*_HOUSEHOLD, *_GARAGE),
    }
    return Draft(
        answers=(right,),
        slips=several_slips(ids, wrong, right),
        choices=desk.choices(ids),
        values={
            "place": desk.label(place),
            "electrode": amount(electrode, "ohm"),
            "dark": listed([desk.label(each) for each in ids if each in dark]),
        },
        why=case,
        pack=(desk.sheet(_schedule(desk, stages)),),
    )


FAMILIES: tuple[Family, ...] = (who_acts_while_dc_flows, circuits_that_may_go_dark)
