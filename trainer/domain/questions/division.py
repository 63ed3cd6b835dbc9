"""Questions on how circuits are divided among residual current devices."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.installation import Installation
from trainer.domain.questions.answering import Reason, others, places, the_only
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import BOARD, breaker, circuit, house, main_switch, rcbo, rccb
from trainer.domain.questions.judging import only_passing
from trainer.domain.questions.series import DIAGRAM

_CRITICAL: Final = ("freezer", "stairs", "alarm", "ventilator", "pump")
_ORDINARY: Final = ("kitchen", "upstairs", "downstairs", "garden", "study", "washing", "garage", "loft")


@family(
    id="device_to_divide",
    title="Which device takes too much with it",
    objectives=("LO07",),
    rules=("RCD-08",),
    misconceptions=("M64", "M68"),
    form=AskForm.POINT,
    level=2,
)
def device_to_divide(desk: Desk) -> Draft:
    """The device whose tripping takes a critical circuit down with others."""
    draws = desk.draws
    critical = draws.choice(_CRITICAL)
    names = draws.shuffled(_ORDINARY)[:5]
    shared, full = draws.shuffled(("rccb1", "rccb2"))
    fed = {critical: shared, names[0]: shared, names[1]: full, names[2]: full, names[3]: full}
    of = house(
        *(rccb(each, label=desk.label(each)) for each in ("rccb1", "rccb2")),
        *(breaker(f"way_{each}", fed_by=above, label=desk.label(each)) for each, above in fed.items()),
        *(circuit(each, f"way_{each}", label=desk.label(each), critical=each == critical) for each in fed),
        rcbo("way_own", label=desk.label(names[4])),
        circuit(names[4], "way_own", label=desk.label(names[4])),
    )
    paths = tuple(f"devices.{each}" for each in ("rccb1", "rccb2", "way_own"))
    failed = [path for path in paths if _divides_badly(desk, of, path.partition(".")[2])]
    right = the_only(paths, lambda path: path in failed)
    reasons = {f"devices.{full}": ("M64", "most_circuits"), "devices.way_own": ("M68", "own_device")}
    return Draft(
        answers=(right,),
        slips=others(paths, right, lambda path: reasons[path]),
        choices=places(of, paths),
        values={
            "critical": desk.label(critical).lower(),
            "right": of.devices[shared].label,
            "beside": desk.label(names[0]).lower(),
        },
        figure=DIAGRAM,
        house=of,
    )


def _divides_badly(desk: Desk, of: Installation, name: str) -> bool:
    alone = desk.verdict("RCD-08", of, name) if len(of.circuits_below(of.devices[name])) > 1 else None
    return alone is not None and alone.case in ("critical_circuit_shared", "whole_installation")


def _arrangement(plan: dict[str, tuple[str, ...]], critical: str) -> Installation:
    """Circuits below RCCBs, or each on an RCBO of its own below ``own``; ``head`` feeds the whole board."""
    records: list[Any] = []
    for device, circuits in plan.items():
        if device == "own":
            for each in circuits:
                records += [rcbo(f"rcbo_{each}"), circuit(each, f"rcbo_{each}", critical=each == critical)]
            continue
        at_the_head = device == "head"
        records += [rccb(device, fed_by=BOARD if at_the_head else "main_switch")]
        records += [main_switch(fed_by="head")] if at_the_head else []
        for each in circuits:
            records += [breaker(f"way_{each}", fed_by="main_switch" if at_the_head else device)]
            records += [circuit(each, f"way_{each}", critical=each == critical)]
    return house(*records)


@family(
    id="division_of_circuits",
    title="How to divide the circuits",
    objectives=("LO07",),
    rules=("RCD-08",),
    misconceptions=("M22", "M64"),
    form=AskForm.ONE,
    level=2,
)
def division_of_circuits(desk: Desk) -> Draft:
    """Of four arrangements the one in which a fault leaves the critical circuit on."""
    draws = desk.draws
    critical = draws.choice(_CRITICAL)
    one, two, three = draws.shuffled(_ORDINARY)[:3]
    plans: dict[str, dict[str, tuple[str, ...]]] = {
        "one_head": {"head": (critical, one, two, three)},
        "with_one": {"rccb1": (critical, one), "rccb2": (two, three)},
        "with_three": {"rccb1": (critical, two, three), "own": (one,)},
        "apart": {"rccb1": (one, two, three), "own": (critical,)},
    }
    houses = {name: _arrangement(plan, critical) for name, plan in plans.items()}
    right = only_passing(desk, houses, ("RCD-08",))
    names = {name: desk.label(name).lower() for name in (critical, one, two, three)}
    values = {"critical": names[critical], "one": names[one], "two": names[two], "three": names[three]}
    reasons: dict[str, Reason] = {
        "one_head": ("M22", "whole_house"),
        "with_one": ("M64", "with_one"),
        "with_three": ("M64", "with_three"),
    }
    return Draft(
        answers=(right,),
        slips=others(plans, right, lambda name: reasons[name]),
        choices=tuple(
            Choice(id=name, label=desk.label(f"plan_{name}", values)) for name in draws.shuffled(tuple(plans))
        ),
        values=values,
    )


FAMILIES: tuple[Family, ...] = (device_to_divide, division_of_circuits)
