"""Questions on earth fault loop impedance, calculated and measured."""

from __future__ import annotations

import math
from typing import Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.calculations.disconnection import maximum_impedance_ohm
from trainer.domain.calculations.loops import at_temperature, earth_fault_loop_impedance
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house, supply
from trainer.domain.vocabulary import Curve, EarthingSystem, Outcome

_CABLES: Final = ((1.5, 1.0), (2.5, 1.5), (4.0, 1.5), (6.0, 2.5), (10.0, 4.0))
_WARM_C: Final = 70.0
_VOLTAGE_V: Final = 230.0


@family(
    id="loop_impedance_of_a_circuit",
    title="Loop impedance of a circuit",
    objectives=("LO27",),
    rules=("OC-02",),
    misconceptions=("M77", "M78"),
    form=AskForm.NUMBER,
    level=3,
)
def loop_impedance_of_a_circuit(desk: Desk) -> Draft:
    """Zs at the end of a circuit from Ze, the resistances of the conductors and their temperature."""
    draws = desk.draws
    line, earth = draws.choice(_CABLES)
    external, length = draws.stepped(0.16, 0.34, 0.02), draws.stepped(18, 45, 1)
    run = cable(cross_section_mm2=line, protective_conductor_mm2=earth, length_m=length)
    of = house(
        breaker("way1"), circuit("way", "way1", cable=run),
        supply=supply(EarthingSystem.TN_C_S, external_earth_fault_loop_impedance_ohm=external),
    )  # fmt: skip
    right, _ = earth_fault_loop_impedance(of, of.circuits["way"], desk.limits)
    table = desk.limits.earthing.conductor_resistance
    r1, r2 = table.get(line) or 0.0, table.get(earth) or 0.0
    cold = (r1 + r2) * length / 1000
    factor = at_temperature(1.0, desk.limits.earthing.copper_temperature_coefficient_per_k.value, _WARM_C, desk.limits)
    wrong = {
        ("M77", "cold"): external + cold,
        ("M78", "line_only"): external + factor * r1 * length / 1000,
        ("M78", "without_supply"): factor * cold,
    }
    return Draft(
        answers=(number(right, "ohm", 2),),
        slips=number_slips(wrong, "ohm", 2),
        unit="ohm",
        tolerance=round(max(0.01, 0.01 * right), 4),
        values={
            "external": amount(external, "ohm"),
            "length": amount(length, "m"),
            "line": plain(line, 1),
            "earth": amount(earth, "mm2", 1),
            "r1": amount(r1, "mohm/m"),
            "r2": amount(r2, "mohm/m"),
            "factor": plain(factor),
            "cold": amount(cold, "ohm", 3),
            "right": amount(right, "ohm"),
        },
        citations=(table.citation, desk.limits.earthing.copper_temperature_coefficient_per_k.citation),
    )


_BREAKERS: Final = tuple(
    (curve, rated) for curve in (Curve.B, Curve.C) for rated in (6.0, 10.0, 16.0, 20.0, 32.0, 40.0)
)


@family(
    id="largest_reading_of_a_cold_loop",
    title="The largest reading of a cold loop",
    objectives=("LO28",),
    rules=("OC-03",),
    misconceptions=("M77", "M29"),
    form=AskForm.NUMBER,
    level=2,
)
def largest_reading_of_a_cold_loop(desk: Desk) -> Draft:
    """The largest measured Zs that leaves room for warm conductors."""
    curve, rated = desk.draws.choice(_BREAKERS)
    device = breaker("way1", curve=curve, rated_current_a=rated)
    table = maximum_impedance_ohm(device, 0.4, _VOLTAGE_V, desk.limits)
    of = house(device, circuit("way", "way1", measured_earth_fault_loop_impedance_ohm=0.1))
    # Rounded down, as published lists do: a reading of the rounded value would already lie above the limit.
    right = math.floor(round(100 * float(desk.verdict("OC-03", of, "way").limit or 0), 6)) / 100
    share = desk.limits.verification.measured_impedance_share.value
    other = maximum_impedance_ohm(
        breaker("way1", curve=Curve.C if curve is Curve.B else Curve.B, rated_current_a=rated),
        0.4,
        _VOLTAGE_V,
        desk.limits,
    )
    wrong = {("M77", "table"): table, ("M77", "divided"): table / share, ("M29", "other_curve"): share * other}
    return Draft(
        answers=(number(right, "ohm", 2),),
        slips=number_slips(wrong, "ohm", 2),
        unit="ohm",
        tolerance=round(max(0.01, 0.01 * right), 4),
        values={
            "curve": curve.value,
            "rated": amount(rated, "A"),
            "table": amount(table, "ohm"),
            "share": plain(share),
            "right": amount(right, "ohm"),
            "place": desk.label(f"place_{desk.draws.integer(1, 4)}"),
        },
        citations=(desk.limits.verification.measured_impedance_share.citation,),
    )


_FINDINGS: Final = ("accepted", "investigate", "too_high")


@family(
    id="reading_of_a_loop",
    title="What a loop reading says",
    objectives=("LO28", "LO41"),
    rules=("OC-03",),
    misconceptions=("M77", "M60"),
    form=AskForm.ONE,
    level=2,
)
def reading_of_a_loop(desk: Desk) -> Draft:
    """A reading of Zs made cold: accepted, to be corrected for temperature, or above the table."""
    draws = desk.draws
    curve, rated = draws.choice(_BREAKERS)
    device = breaker("way1", curve=curve, rated_current_a=rated)
    table = maximum_impedance_ohm(device, 0.4, _VOLTAGE_V, desk.limits)
    low, high = draws.choice(((0.45, 0.74), (0.85, 0.94), (1.07, 1.3)))
    measured = round(table * draws.stepped(low, high, 0.01), 2)
    of = house(device, circuit("way", "way1", measured_earth_fault_loop_impedance_ohm=measured))
    verdict = desk.verdict("OC-03", of, "way")
    names = {Outcome.COMPLIES: "accepted", Outcome.ADVICE: "investigate", Outcome.DOES_NOT_COMPLY: "too_high"}
    right = names.get(verdict.outcome, "")
    if not right:
        raise RedrawError("the reading cannot be judged")

    def reason(name: str) -> Reason:
        stricter = _FINDINGS.index(name) > _FINDINGS.index(right)
        return ("M60", "too_strict") if stricter else ("M77", "too_easy")

    accepted = table * desk.limits.verification.measured_impedance_share.value
    return Draft(
        answers=(right,),
        slips=others(_FINDINGS, right, reason),
        choices=desk.shuffled(_FINDINGS),
        values={
            "curve": curve.value,
            "rated": amount(rated, "A"),
            "measured": amount(measured, "ohm"),
            "table": amount(table, "ohm"),
            "accepted": amount(accepted, "ohm"),
        },
        why=right,
        margins=((measured, table), (measured, accepted)),
    )


FAMILIES: tuple[Family, ...] = (loop_impedance_of_a_circuit, largest_reading_of_a_cold_loop, reading_of_a_loop)
