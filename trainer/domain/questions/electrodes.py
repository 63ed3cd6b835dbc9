"""Questions on earth electrodes in TT."""

from __future__ import annotations

from typing import Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.calculations.electrode import highest_electrode_resistance_ohm
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import circuit, house, rccb, tt_earth
from trainer.domain.questions.judging import passing
from trainer.domain.vocabulary import Outcome

_RATINGS_MA: Final = (30.0, 100.0, 300.0, 500.0)
_PLACES: Final = ("cottage", "barn", "workshop", "lodge", "chapel", "stable")
_U0_V: Final = 230.0


def _tt(rating: float, electrode: float) -> Installation:
    return house(rccb("rccb", "A", rating), circuit("way", "rccb"), **tt_earth(electrode))


@family(
    id="voltage_at_the_electrode",
    title="Voltage at the electrode",
    objectives=("LO05",),
    rules=("RCD-09",),
    misconceptions=("M63", "M67", "M86"),
    form=AskForm.NUMBER,
    level=1,
)
def voltage_at_the_electrode(desk: Desk) -> Draft:
    """The voltage on exposed parts while the rated residual operating current flows."""
    draws = desk.draws
    rating = draws.choice(_RATINGS_MA)
    most = highest_electrode_resistance_ohm(desk.limits.earthing.touch_voltage_v.value, rating)
    electrode = draws.stepped(round(0.2 * most / 5) * 5, round(0.9 * most / 5) * 5, 5)
    of = _tt(rating, electrode)
    verdict = desk.verdict("RCD-09", of, "way")
    touch = float(verdict.value or 0)
    wrong = {
        ("M63", "limit"): float(verdict.limit or 0),
        ("M67", "mains"): _U0_V,
        ("M86", "leakage_share"): desk.limits.residual.leakage_share.value * touch,
    }
    return Draft(
        answers=(number(touch, "V", 1),),
        slips=number_slips(wrong, "V", 1),
        unit="V",
        tolerance=0.2,
        values={
            "place": desk.label(draws.choice(_PLACES)),
            "rating": amount(rating, "mA"),
            "electrode": amount(electrode, "ohm"),
            "touch": amount(touch, "V", 1),
            "limit": amount(float(verdict.limit or 0), "V"),
        },
        margins=((touch, float(verdict.limit or 0)),),
    )


@family(
    id="largest_device_for_an_electrode",
    title="The largest device for an electrode",
    objectives=("LO05",),
    rules=("RCD-09",),
    misconceptions=("M60", "M63"),
    form=AskForm.ONE,
    level=2,
)
def largest_device_for_an_electrode(desk: Desk) -> Draft:
    """The highest rated residual operating current that still gives fault protection at an electrode."""
    draws = desk.draws
    electrode = draws.stepped(*draws.choice(((60, 90), (110, 155), (180, 460))), 5)
    houses = {f"r{rating:g}": _tt(rating, electrode) for rating in _RATINGS_MA}
    passed = passing(desk, houses, ("RCD-09",))
    if not passed:
        raise RedrawError("no rating complies")
    right = passed[-1]
    limit = desk.limits.earthing.touch_voltage_v.value
    voltages = {name: float(desk.verdict("RCD-09", of, "way").value or 0) for name, of in houses.items()}
    labels = {"r30": "30 mA", "r100": "100 mA", "r300": "300 mA", "r500": "500 mA"}
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: ("M60", "smaller") if name in passed else ("M63", "larger")),
        choices=desk.choices(houses),
        values={
            "place": desk.label(draws.choice(_PLACES)),
            "electrode": amount(electrode, "ohm"),
            "right": labels[right].replace(" ", "\u00a0"),
            "touch": amount(voltages[right], "V", 1),
        },
        margins=tuple((voltage, limit) for voltage in voltages.values()),
        leaves_hazard=False,
    )


_VERDICTS: Final = ("fine", "advise", "above_200", "above_50_v")


@family(
    id="electrode_against_200_ohm",
    title="An electrode and the 200 ohm",
    objectives=("LO05",),
    rules=("RCD-09", "RCD-10"),
    misconceptions=("M63", "M66"),
    form=AskForm.ONE,
    level=2,
)
def electrode_against_200_ohm(desk: Desk) -> Draft:
    """What a measured electrode means with a 30 mA device: against 50 V and against the advice on 200 ohm."""
    draws = desk.draws
    electrode = draws.stepped(*draws.choice(((60, 185), (215, 1500), (215, 1500), (1760, 2600))), 5)
    of = _tt(30.0, electrode)
    touch, advice = desk.verdict("RCD-09", of, "way"), desk.verdict("RCD-10", of)
    if touch.outcome is not Outcome.COMPLIES:
        right = "above_50_v"
    else:
        right = "fine" if advice.outcome is Outcome.COMPLIES else "advise"
    reason = {
        "fine": ("M66", "too_easy"),
        "advise": ("M66", "advice_misplaced"),
        "above_200": ("M66", "no_limit"),
        "above_50_v": ("M63", "within_50_v"),
    }
    return Draft(
        answers=(right,),
        slips=others(_VERDICTS, right, lambda name: reason[name]),
        choices=desk.shuffled(_VERDICTS),
        values={
            "place": desk.label(draws.choice(_PLACES)),
            "electrode": amount(electrode, "ohm"),
            "touch": amount(float(touch.value or 0), "V", 1),
        },
        why=right,
        margins=((electrode, float(advice.limit or 0)), (float(touch.value or 0), float(touch.limit or 0))),
    )


FAMILIES: tuple[Family, ...] = (voltage_at_the_electrode, largest_device_for_an_electrode, electrode_against_200_ohm)
