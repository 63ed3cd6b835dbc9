"""Questions on standing leakage and on the protective conductors that carry it."""

from __future__ import annotations

from typing import Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain, spoken
from trainer.domain.questions.answering import Reason, number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house, item, rccb
from trainer.domain.questions.judging import first_passing

_LOADS: Final = ("heat_pump", "inverter", "washing_machine", "desk", "hob", "boiler")
_COUNT: Final = 4


@family(
    id="leakage_left_to_use",
    title="Leakage left within 30 %",
    objectives=("LO04",),
    rules=("RCD-05",),
    misconceptions=("M36", "M85"),
    form=AskForm.NUMBER,
    level=2,
)
def leakage_left_to_use(desk: Desk) -> Draft:
    """The leakage that may still be added below a device within the measure of 30 %."""
    draws = desk.draws
    rating = draws.choice((30.0, 30.0, 100.0))
    scale = rating / 30.0
    names = draws.shuffled(_LOADS)[:_COUNT]
    leaks = [round(draws.stepped(0.4, 2.4, 0.2) * scale, 1) for _ in names]
    of = house(
        rccb("rccb", rating_ma=rating),
        *(circuit(each, "rccb") for each in names),
        *(
            item(each, each, EquipmentKind.OTHER, protective_conductor_current_ma=ma)
            for each, ma in zip(names, leaks, strict=True)
        ),
    )
    verdict = desk.verdict("RCD-05", of, "rccb")
    allowed, known = float(verdict.limit or 0), float(verdict.value or 0)
    left = total((allowed, -known))
    wrong = {
        ("M85", "whole_rating"): rating - known,
        ("M85", "half_rating"): rating / 2 - known,
        ("M36", "largest_only"): allowed - max(leaks),
    }
    return Draft(
        answers=(number(left, "mA", 1),),
        slips=number_slips(wrong, "mA", 1),
        unit="mA",
        tolerance=0.1,
        values={
            "rating": amount(rating, "mA"),
            "loads": "; ".join(f"{desk.label(each)} {amount(ma, 'mA')}" for each, ma in zip(names, leaks, strict=True)),
            "sum": f"{spoken([amount(ma, 'mA') for ma in leaks])} = {amount(known, 'mA')}",
            "allowed": amount(allowed, "mA"),
            "left": amount(left, "mA"),
        },
        margins=((known, allowed),),
    )


_MEASURES: Final = ("plug", "fixed", "high_integrity")
_MACHINES: Final = ("rack", "drive", "printer", "laser", "kiln", "bench")


def _leaking(desk: Desk, measure: str, leakage: float) -> Installation:
    """One machine connected in one of three ways."""
    size = desk.limits.residual.high_integrity_mm2["single"].value if measure == "high_integrity" else 1.5
    run = cable(protective_conductor_mm2=size)
    machine = item("load", "load", protective_conductor_current_ma=leakage, plug_in=measure == "plug")
    return house(breaker("way1"), circuit("load", "way1", cable=run), machine)


@family(
    id="high_protective_conductor_current",
    title="High protective conductor current",
    objectives=("LO36",),
    rules=("HP-03",),
    misconceptions=("M60", "M69"),
    form=AskForm.ONE,
    level=2,
)
def high_protective_conductor_current(desk: Desk) -> Draft:
    """The least measure that a machine's protective conductor current asks for."""
    draws = desk.draws
    leakage = draws.stepped(*draws.choice(((1.0, 3.2), (3.8, 9.4), (10.8, 18.0))), 0.2)
    houses = {measure: _leaking(desk, measure, leakage) for measure in _MEASURES}
    right = first_passing(desk, houses, ("HP-03",))
    limits = desk.limits.residual.protective_conductor_current_ma
    plug, high = limits["plug"].value, limits["high_integrity"].value

    def reason(measure: str) -> Reason:
        return (
            ("M60", "more_than_needed")
            if _MEASURES.index(measure) > _MEASURES.index(right)
            else ("M69", f"{measure}_too_little")
        )

    values = {"leakage": amount(leakage, "mA"), "machine": desk.label(draws.choice(_MACHINES))}
    limit_values = {"plug_limit": amount(plug, "mA"), "high_limit": amount(high, "mA")}
    return Draft(
        answers=(right,),
        slips=others(_MEASURES, right, reason),
        choices=desk.shuffled(_MEASURES),
        values={**values, **limit_values},
        why=right,
        margins=((leakage, plug), (leakage, high)),
    )


_DESKS_MOST: Final = 12


@family(
    id="how_many_within_30_percent",
    title="How many within 30 %",
    objectives=("LO04",),
    rules=("RCD-05",),
    misconceptions=("M10", "M85"),
    form=AskForm.NUMBER,
    level=3,
)
def how_many_within_30_percent(desk: Desk) -> Draft:
    """The largest number of like loads below one device within the measure of 30 %."""
    draws = desk.draws
    each, standing = draws.stepped(0.5, 1.5, 0.1), draws.stepped(0.6, 3.0, 0.2)
    counts = [count for count in range(_DESKS_MOST + 1) if not desk.fails("RCD-05", _desks(count, each, standing))]
    most = counts[-1]
    room = desk.limits.residual.leakage_share.value * 30.0 - standing
    left = room - most * each
    if left < 0.1 * each or left > 0.9 * each:
        raise RedrawError("the count lies on the edge")
    wrong = {
        ("M85", "half"): float(int((15.0 - standing) / each)),
        ("M10", "whole"): float(int((30.0 - standing) / each)),
        ("M10", "one_more"): most + 1.0,
    }
    return Draft(
        answers=(number(most, "", 0),),
        slips=number_slips(wrong, "", 0),
        values={
            "each": amount(each, "mA"),
            "standing": amount(standing, "mA"),
            "machine": desk.label(f"many_{draws.integer(1, 4)}"),
            "room": amount(room, "mA"),
            "quotient": plain(room / each, 2),
            "most": str(most),
        },
    )


def _desks(count: int, each: float, standing: float) -> Installation:
    names = [f"desk{number}" for number in range(count)]
    return house(
        rccb("rccb"),
        circuit("first", "rccb"),
        item("first", "first", protective_conductor_current_ma=standing),
        *(circuit(name, "rccb") for name in names),
        *(item(name, name, protective_conductor_current_ma=each) for name in names),
    )


FAMILIES: tuple[Family, ...] = (
    leakage_left_to_use,
    how_many_within_30_percent,
    high_protective_conductor_current,
)
