"""Questions on sources in parallel: where they join, what isolates them, what they add up to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment, SourceKind
from trainer.domain.installation import Installation, Network
from trainer.domain.questions.amounts import amount, spoken
from trainer.domain.questions.answering import (
    Reason,
    match,
    number,
    number_slips,
    others,
    places,
    several,
    slips,
    the_only,
)
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import BOARD, breaker, circuit, house, inverter, item, rcbo, rccb, supply
from trainer.domain.questions.judging import drawn_evenly, failing, passing, with_one_more
from trainer.domain.questions.series import DIAGRAM
from trainer.domain.vocabulary import Direction

_JOIN_RULES: Final = ("GEN-01", "GEN-03", "PV-02")
_ROLES: Final = ("free", "below", "sockets", "lights")
Ways = Mapping[str, str]
"""What stands at each of four ways, by role; the numbers are drawn."""


def _board_with(desk: Desk, ways: Ways, joins: str) -> Installation:
    """A board with two free ways; the inverter joins at one of its devices."""
    labels = {role: desk.label(role, {"way": ways[role][-1]}) for role in _ROLES}
    made: dict[str, Device] = {
        "free": breaker(ways["free"], rated_current_a=20.0, poles=2, label=labels["free"]),
        "below": breaker(ways["below"], fed_by="rccb", rated_current_a=20.0, poles=2, label=labels["below"]),
        "sockets": rcbo(ways["sockets"], label=labels["sockets"]),
        "lights": breaker(ways["lights"], fed_by="rccb", rated_current_a=6.0, label=labels["lights"]),
    }
    records: list[Any] = [rccb("rccb", label=desk.label("rccb"))]
    records += [made[role] for role in sorted(_ROLES, key=lambda each: ways[each])]
    records.append(circuit("sockets", ways["sockets"], socket_outlets=True, label=desk.label("circuit_sockets")))
    records.append(circuit("lights", ways["lights"], luminaires=True, label=desk.label("circuit_lights")))
    if joins in ("free", "below"):
        records.append(circuit("pv", ways[joins]))
    if joins:
        records.append(inverter("pv", joins if joins in ("sockets", "lights") else "pv"))
    return house(*records)


@family(
    id="place_for_a_pv_inverter",
    title="Where a PV inverter may join",
    objectives=("LO20",),
    rules=_JOIN_RULES,
    misconceptions=("M22", "M89"),
    form=AskForm.POINT,
    level=2,
)
def place_for_a_pv_inverter(desk: Desk) -> Draft:
    """The device of a board behind which a PV inverter may join."""
    numbers = desk.draws.shuffled((1, 2, 3, 4))
    ways = {role: f"way{number}" for role, number in zip(_ROLES, numbers, strict=True)}
    houses = {f"devices.{ways[role]}": _board_with(desk, ways, role) for role in _ROLES}
    right = the_only(passing(desk, houses, _JOIN_RULES), lambda _: True)
    shown = _board_with(desk, ways, "")
    reasons: Mapping[str, Reason] = {
        f"devices.{ways['below']}": ("M22", "shared_device"),
        f"devices.{ways['sockets']}": ("M89", "sockets"),
        f"devices.{ways['lights']}": ("M22", "lights"),
    }
    paths = tuple(f"devices.way{number}" for number in range(1, 5))
    return Draft(
        answers=(right,),
        slips=others(paths, right, lambda path: reasons[path]),
        choices=places(shown, paths),
        values={"maker": desk.draws.choice(desk.data.names.makers), "right": right[-1]},
        figure=DIAGRAM,
        house=shown,
        leaves_hazard=True,
    )


_DIRECTED: Final = ("source_marked", "source_free", "load_marked", "load_free")


@family(
    id="device_with_a_source_behind_it",
    title="A device with a source behind it",
    objectives=("LO21",),
    rules=("GEN-04",),
    misconceptions=("M21", "M68"),
    form=AskForm.POINT,
    level=2,
)
def device_with_a_source_behind_it(desk: Desk) -> Draft:
    """The device with marked terminals that a source feeds from its load side."""
    draws = desk.draws
    sources = draws.shuffled(("pv", "battery", "hybrid"))[:2]
    loads = draws.shuffled(("heater", "hob", "heat_pump", "shower"))[:2]
    names = dict(zip(_DIRECTED, (*sources, *loads), strict=True))
    ways = dict(zip(_DIRECTED, draws.shuffled((1, 2, 3, 4)), strict=True))
    records: list[Any] = []
    for role in sorted(_DIRECTED, key=lambda each: ways[each]):
        marked = role.endswith("marked")
        label = desk.label("marked" if marked else "either", {"what": desk.label(names[role])})
        direction = Direction.UNIDIRECTIONAL if marked else Direction.BIDIRECTIONAL
        records += [
            rcbo(f"way{ways[role]}", direction=direction, label=label),
            circuit(names[role], f"way{ways[role]}", label=desk.label(names[role])),
        ]
        records.append(_role_item(desk, role, names[role]))
    of = house(*records)
    paths = tuple(f"devices.way{number}" for number in range(1, 5))
    failed = [path for path in paths if _fed_from_behind(desk, of, path.partition(".")[2])]
    right = the_only(paths, lambda path: path in failed)
    reasons: Mapping[str, Reason] = {
        f"devices.way{ways['source_free']}": ("M21", "either_end"),
        f"devices.way{ways['load_marked']}": ("M21", "no_source"),
        f"devices.way{ways['load_free']}": ("M68", "neither"),
    }
    return Draft(
        answers=(right,),
        slips=others(paths, right, lambda path: reasons[path]),
        choices=places(of, paths),
        values={"right": desk.label(names["source_marked"])},
        figure=DIAGRAM,
        house=of,
        leaves_hazard=True,
    )


_SOURCE_KINDS: Final = {"pv": SourceKind.PV, "battery": SourceKind.BATTERY, "hybrid": SourceKind.HYBRID}


def _role_item(desk: Desk, role: str, name: str) -> Equipment:
    """The source or the load at the end of a circuit."""
    label = desk.label(name)
    if name in _SOURCE_KINDS:
        return inverter(role, name, _SOURCE_KINDS[name], label=label)
    return item(role, name, label=label)


def _fed_from_behind(desk: Desk, of: Installation, name: str) -> bool:
    has_source = bool(of.sources_below(of.devices[name]))
    return has_source and desk.verdict("GEN-04", of, name).case == "fed_from_its_load_side"


def _isolated(kind: SourceKind, *, ac: bool, dc: bool) -> Installation:
    return house(
        rcbo("way1", "B"), circuit("way", "way1"), inverter("source", "way", kind, isolator_ac=ac, isolator_dc=dc)
    )


_ISOLATION_RULES: Final = ("PV-04", "ISO-01A", "V2X-01")


def _isolations() -> dict[str, Installation]:
    """Sources with and without the means of isolation on their two sides."""
    kinds = {"pv": SourceKind.PV, "battery": SourceKind.BATTERY, "vehicle": SourceKind.VEHICLE}
    found = {f"{name}_both": _isolated(kind, ac=True, dc=True) for name, kind in kinds.items()}
    found |= {f"{name}_ac": _isolated(kind, ac=True, dc=False) for name, kind in kinds.items()}
    found["pv_dc"] = _isolated(SourceKind.PV, ac=False, dc=True)
    found["set_ac"] = _isolated(SourceKind.GENERATING_SET, ac=True, dc=False)
    return found


@family(
    id="isolation_of_sources",
    title="Isolation on both sides",
    objectives=("LO18", "LO45", "LO46"),
    rules=_ISOLATION_RULES,
    misconceptions=("M75",),
    form=AskForm.SEVERAL,
    level=2,
)
def isolation_of_sources(desk: Desk) -> Draft:
    """Of six arrangements those that let a source be isolated as it must be."""
    houses = _isolations()
    ids = drawn_evenly(desk, passing(desk, houses, _ISOLATION_RULES), failing(desk, houses, _ISOLATION_RULES), 3)
    right = [name for name in ids if name in passing(desk, houses, _ISOLATION_RULES)]
    reasons: Mapping[str, Reason] = {
        "pv_ac": ("M75", "pv_dc_side"),
        "pv_dc": ("M75", "pv_ac_side"),
        "battery_ac": ("M75", "battery_side"),
        "vehicle_ac": ("M75", "vehicle_side"),
    }
    return Draft(
        answers=(several(ids, right),),
        slips=with_one_more(ids, right, reasons),
        choices=desk.choices(ids),
        leaves_hazard=True,
    )


_OUTPUTS_A: Final = {"pv": (8.0, 16.0, 1.0), "battery": (8.0, 16.0, 1.0), "vehicle": (14.0, 32.0, 2.0)}


def _generating(outputs: Mapping[str, float], **facts: Any) -> Installation:
    kinds = {
        "pv": SourceKind.PV,
        "battery": SourceKind.BATTERY,
        "vehicle": SourceKind.VEHICLE,
        "hybrid": SourceKind.HYBRID,
    }
    records: list[Any] = [breaker(f"way_{name}", poles=2) for name in outputs]
    records += [circuit(name, f"way_{name}") for name in outputs]
    records += [
        inverter(name, name, kinds[name], rated_current_a=current, type_tested=True)
        for name, current in outputs.items()
    ]
    return house(*records, **facts)


@family(
    id="registered_capacity",
    title="Registered capacity on a line",
    objectives=("LO40", "LO46"),
    rules=("DNO-02",),
    misconceptions=("M39", "M47"),
    form=AskForm.NUMBER,
    level=2,
)
def registered_capacity(desk: Desk) -> Draft:
    """The current that counts as registered capacity: every inverter, storage and the vehicle included."""
    draws = desk.draws
    outputs = {name: draws.stepped(*span) for name, span in _OUTPUTS_A.items()}
    of = _generating(outputs, network=Network(generation_route="G98"))
    verdict = desk.verdict("DNO-02", of)
    right = float(verdict.value or 0)
    wrong = {
        ("M47", "without_vehicle"): right - outputs["vehicle"],
        ("M39", "pv_only"): outputs["pv"],
        ("M39", "largest"): max(outputs.values()),
    }
    if len(set(wrong.values())) < len(wrong):
        wrong.pop(("M39", "largest"))
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=0.1,
        values={
            **{name: amount(current, "A") for name, current in outputs.items()},
            "sum": f"{spoken([amount(current, 'A') for current in outputs.values()])} = {amount(right, 'A')}",
            "limit": amount(float(verdict.limit or 0), "A"),
        },
    )


_SITES: Final[Mapping[str, tuple[tuple[str, ...], tuple[float, float, float]]]] = {
    "small": (("pv",), (10.0, 15.0, 1.0)),
    "two": (("pv", "battery"), (10.0, 16.0, 1.0)),
    "limited": (("pv", "battery"), (18.0, 24.0, 1.0)),
}
_ROUTES: Final = ("g98", "g99", "g99_limited")


def _route(desk: Desk, outputs: Mapping[str, float], agreed_w: float | None) -> str:
    """The first route that complies: G98, G99, G99 with export limited."""
    for route in _ROUTES:
        network = Network(generation_route=route[:3].upper(), export_limited=route == "g99_limited")
        of = _generating(outputs, network=network, supply=supply(agreed_export_limit_w=agreed_w))
        if not desk.fails("DNO-02", of) and not desk.fails("DNO-03", of):
            return route
    return _ROUTES[-1]


@family(
    id="route_for_generation",
    title="G98, G99 or G100",
    objectives=("LO40",),
    rules=("DNO-02", "DNO-03"),
    misconceptions=("M39",),
    form=AskForm.MATCH,
    level=3,
)
def route_for_generation(desk: Desk) -> Draft:
    """Sites matched to the route by which their sources connect."""
    draws = desk.draws
    ids = draws.shuffled(tuple(_SITES))
    partner, choices = {}, []
    for name in ids:
        kinds, span = _SITES[name]
        outputs = {kind: draws.stepped(*span) for kind in kinds}
        agreed = 3680.0 if name == "limited" else None
        partner[name] = _route(desk, outputs, agreed)
        values = {kind: amount(current, "A") for kind, current in outputs.items()}
        choices.append(Choice(id=name, label=desk.label(name, {**values, "agreed": "3.68\u00a0kW"})))
    right = match(ids, partner)
    each_alone = match(ids, {**partner, "two": "g98"})
    no_limit = match(ids, {**partner, "limited": "g98"})
    return Draft(
        answers=(right,),
        slips=slips({each_alone: ("M39", "each_alone"), no_limit: ("M39", "export_counts")}),
        choices=tuple(choices),
        partners=desk.choices(_ROUTES),
    )


@family(
    id="assembly_fed_from_two_ends",
    title="An assembly fed from two ends",
    objectives=("LO42",),
    rules=("RAT-02",),
    misconceptions=("M32", "M36"),
    form=AskForm.NUMBER,
    level=2,
)
def assembly_fed_from_two_ends(desk: Desk) -> Draft:
    """The least rated current of an assembly that the supply and sources feed."""
    draws = desk.draws
    fuse = draws.choice((60.0, 80.0, 100.0))
    outputs = {"pv": draws.stepped(10, 17, 1), "battery": draws.stepped(18, 26, 1)}
    of = _generating(outputs, supply=supply(fuse_rated_current_a=fuse))
    of = house(
        *of.devices.values(),
        *of.circuits.values(),
        *of.equipment.values(),
        Board(id=BOARD, rated_current_a=300.0),
        supply=of.supply,
    )
    right = float(desk.verdict("RAT-02", of, BOARD).value or 0)
    wrong = {
        ("M32", "fuse_only"): fuse,
        ("M36", "largest_source"): fuse + outputs["battery"],
        ("M32", "sources_only"): right - fuse,
    }
    return Draft(
        answers=(number(right, "A", 0),),
        slips=number_slips(wrong, "A", 0),
        unit="A",
        tolerance=0.5,
        values={
            "fuse": amount(fuse, "A"),
            **{name: amount(current, "A") for name, current in outputs.items()},
            "sum": f"{spoken([amount(each, 'A') for each in (fuse, *outputs.values())])} = {amount(right, 'A')}",
            "place": desk.label(f"place_{draws.integer(1, 4)}"),
        },
    )


FAMILIES: tuple[Family, ...] = (
    place_for_a_pv_inverter,
    device_with_a_source_behind_it,
    isolation_of_sources,
    registered_capacity,
    route_for_generation,
    assembly_fed_from_two_ends,
)
