"""Questions on earth fault loops and disconnection."""

from __future__ import annotations

from typing import Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.calculations.disconnection import instantaneous_multiple, maximum_impedance_ohm
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import number, number_slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import breaker
from trainer.domain.vocabulary import Curve

_RATINGS_A: Final = (6.0, 10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0)
_NEXT: Final = {Curve.B: Curve.C, Curve.C: Curve.B, Curve.D: Curve.C}
_VOLTAGE_V: Final = 230.0


@family(
    id="largest_loop_of_a_breaker",
    title="The largest loop for a breaker",
    objectives=("LO27",),
    rules=("OC-02",),
    misconceptions=("M07", "M29", "M67"),
    form=AskForm.NUMBER,
    level=2,
)
def largest_loop_of_a_breaker(desk: Desk) -> Draft:
    """The largest earth fault loop impedance at which a circuit-breaker disconnects at once."""
    draws = desk.draws
    curve, rated = draws.choice(tuple(Curve)), draws.choice(_RATINGS_A)
    device = breaker("way1", curve=curve, rated_current_a=rated)
    limits = desk.limits
    right = maximum_impedance_ohm(device, 0.4, _VOLTAGE_V, limits)
    other = maximum_impedance_ohm(breaker("way1", curve=_NEXT[curve], rated_current_a=rated), 0.4, _VOLTAGE_V, limits)
    factor = limits.overcurrent.minimum_voltage_factor.value
    multiple = instantaneous_multiple(curve, limits)
    wrong = {
        ("M29", "other_curve"): other,
        ("M67", "nominal_voltage"): right / factor,
        ("M07", "rated_current"): right * multiple,
    }
    return Draft(
        answers=(number(right, "ohm", 2),),
        slips=number_slips(wrong, "ohm", 2),
        unit="ohm",
        tolerance=round(0.01 * right, 4),
        values={
            "curve": curve.value,
            "other_curve": _NEXT[curve].value,
            "rated": amount(rated, "A"),
            "multiple": plain(multiple),
            "current": amount(multiple * rated, "A"),
            "factor": plain(factor),
            "right": amount(right, "ohm"),
        },
        citations=(limits.overcurrent.minimum_voltage_factor.citation,),
    )


FAMILIES: tuple[Family, ...] = (largest_loop_of_a_breaker,)
