"""Questions on standing leakage and on the protective conductors that carry it."""

from __future__ import annotations

from typing import Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import total
from trainer.domain.questions.amounts import amount, spoken
from trainer.domain.questions.answering import number, number_slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import circuit, house, item, rccb

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
        house=of,
        margins=((known, allowed),),
    )


FAMILIES: tuple[Family, ...] = (leakage_left_to_use,)
