"""Questions on cables: capacity with factors, tables, voltage drop."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.cables import Cable, CableType
from trainer.domain.calculations.cable_rating import current_carrying_capacity, rating_table
from trainer.domain.calculations.voltage_drop import allowed_drop_v, tabulated_drop, voltage_drop_v
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house
from trainer.domain.questions.judging import first_passing
from trainer.domain.vocabulary import Consequence

_SIZES_MM2: Final = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0)


@family(
    id="capacity_with_factors",
    title="Capacity with its factors",
    objectives=("LO26",),
    rules=("OC-09",),
    misconceptions=("M30", "M80"),
    form=AskForm.NUMBER,
    level=3,
)
def capacity_with_factors(desk: Desk) -> Draft:
    """Iz of a cable that is warm and grouped."""
    draws = desk.draws
    size, grouped, ambient = draws.choice(_SIZES_MM2), draws.integer(1, 4), draws.choice((35.0, 40.0, 45.0))
    run = cable(cross_section_mm2=size, grouped_with=grouped, ambient_c=ambient)
    rating = current_carrying_capacity(circuit("way", "way1", cable=run), desk.limits)
    warm, together = rating.ambient_factor, rating.grouping_factor
    right = rating.capacity_a
    wrong = {
        ("M30", "table_only"): rating.tabulated_a,
        ("M80", "worst_only"): rating.tabulated_a * min(warm, together),
        ("M80", "added"): rating.tabulated_a * (warm + together - 1),
    }
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=round(0.01 * right, 2),
        values={
            "tabulated": amount(rating.tabulated_a, "A", 1),
            "size": amount(size, "mm2", 1),
            "others": {
                1: "one other circuit",
                2: "two other circuits",
                3: "three other circuits",
                4: "four other circuits",
            }[grouped],
            "ambient": amount(ambient, "degC"),
            "warm": plain(warm),
            "together": plain(together),
            "right": amount(right, "A", 1),
        },
        citations=(
            desk.limits.overcurrent.ambient_factor_70.citation,
            desk.limits.overcurrent.grouping_bunched.citation,
        ),
    )


@family(
    id="cable_for_a_device",
    title="The cable for a device",
    objectives=("LO26", "LO13"),
    rules=("OC-01", "OC-09"),
    misconceptions=("M30", "M60"),
    form=AskForm.ONE,
    level=3,
)
def cable_for_a_device(desk: Desk) -> Draft:
    """The least cross-section that a device protects, with the cable grouped."""
    draws = desk.draws
    load, rated = draws.choice(((14.0, 16.0), (18.0, 20.0), (28.0, 32.0), (36.0, 40.0)))
    grouped = draws.integer(1, 4)
    houses = {
        f"s{size:g}": house(
            breaker("way1", rated_current_a=rated),
            circuit("way", "way1", cable=cable(cross_section_mm2=size, grouped_with=grouped), design_current_a=load),
        )
        for size in _SIZES_MM2
    }
    right = first_passing(desk, houses, ("OC-01", "OC-09"))
    place = tuple(houses).index(right)
    start = draws.integer(max(0, place - 3), min(place, len(houses) - 4))
    ids = tuple(houses)[start : start + 4]
    rating = current_carrying_capacity(houses[right].circuits["way"], desk.limits)
    limits = [current_carrying_capacity(houses[name].circuits["way"], desk.limits).capacity_a for name in ids]
    if any(abs(each - rated) < 0.02 * rated for each in limits):
        raise RedrawError("a capacity lies within rounding of the rating")
    rows = [
        (
            desk.label("row", {"size": amount(float(name[1:]), "mm2", 1)}),
            plain(_tabulated(desk, float(name[1:])), 1),
            "A",
        )
        for name in houses
    ]
    return Draft(
        answers=(right,),
        slips=others(
            ids, right, lambda name: ("M60", "more") if ids.index(name) > ids.index(right) else ("M30", "less")
        ),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "mm2", 1)) for name in ids),
        values={
            "load": amount(load, "A"),
            "rated": amount(rated, "A"),
            "others": {
                1: "one other circuit",
                2: "two other circuits",
                3: "three other circuits",
                4: "four other circuits",
            }[grouped],
            "factor": plain(rating.grouping_factor),
            "right": amount(float(right[1:]), "mm2", 1),
            "tabulated": amount(rating.tabulated_a, "A", 1),
            "carries": amount(rating.capacity_a, "A", 1),
        },
        pack=(desk.sheet(rows),),
    )


def _tabulated(desk: Desk, size: float) -> float:
    return current_carrying_capacity(
        circuit("way", "way1", cable=cable(cross_section_mm2=size)), desk.limits
    ).tabulated_a


def _column(desk: Desk, run: Cable) -> list[tuple[str, str, str]]:
    """One column of a rating table as rows of a sheet: all sizes for a method and two loaded conductors."""
    table = rating_table(run, desk.limits.overcurrent.conductor_temperature_c[run.type].value, desk.limits)
    rows = []
    for size in (1.5, 2.5, 4.0, 6.0, 10.0, 16.0):
        rating = table.get(run.reference_method, size, 2)
        if rating is not None:
            values = {"method": run.reference_method, "size": amount(size, "mm2", 1)}
            rows.append((desk.label("row", values), plain(rating, 1), "A"))
    return rows


_FLAT: Final = (("C", "A"), ("C", "100"), ("C", "102"), ("100", "101"), ("102", "103"), ("A", "103"))
_ARMOURED: Final = (("C", "D"), ("E", "D"), ("C", "E"))


def _reading(desk: Desk, cable_type: CableType, pairs: tuple[tuple[str, str], ...]) -> Draft:
    """A rating read from the right column of a table and the right row."""
    draws = desk.draws
    method, other = draws.shuffled(draws.choice(pairs))
    size = draws.choice((2.5, 4.0, 6.0, 10.0))
    runs = {name: cable(type=cable_type, reference_method=name, cross_section_mm2=size) for name in (method, other)}
    right = current_carrying_capacity(circuit("way", "way1", cable=runs[method]), desk.limits).tabulated_a
    elsewhere = current_carrying_capacity(circuit("way", "way1", cable=runs[other]), desk.limits).tabulated_a
    larger = {2.5: 4.0, 4.0: 6.0, 6.0: 10.0, 10.0: 16.0}[size]
    beside = current_carrying_capacity(
        circuit("way", "way1", cable=cable(type=cable_type, reference_method=method, cross_section_mm2=larger)),
        desk.limits,
    ).tabulated_a
    rows = []
    for name in sorted(runs):
        rows += _column(desk, runs[name])
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips({("M84", "method"): elsewhere, ("M84", "row"): beside}, "A", 1),
        unit="A",
        tolerance=0.05,
        values={
            "size": amount(size, "mm2", 1),
            "larger": amount(larger, "mm2", 1),
            "run": desk.label(f"run_{method}"),
            "method": method,
            "other": other,
            "right": amount(right, "A", 1),
        },
        citations=(rating_table(runs[method], 90.0, desk.limits).citation,),
        consequence=Consequence.DESIGN,
        pack=(desk.sheet(rows, notes=(desk.label("note"),)),),
    )


@family(
    id="rating_of_a_flat_cable",
    title="Read the table for flat cable",
    objectives=("LO32",),
    rules=("OC-10",),
    misconceptions=("M84",),
    form=AskForm.NUMBER,
    level=1,
)
def rating_of_a_flat_cable(desk: Desk) -> Draft:
    """The tabulated rating of a flat cable by how it is installed."""
    return _reading(desk, CableType.FLAT_THERMOPLASTIC_70, _FLAT)


@family(
    id="rating_of_an_armoured_cable",
    title="Read the table for armoured cable",
    objectives=("LO32",),
    rules=("OC-11",),
    misconceptions=("M84",),
    form=AskForm.NUMBER,
    level=1,
)
def rating_of_an_armoured_cable(desk: Desk) -> Draft:
    """The tabulated rating of an armoured 90 C cable by how it is installed."""
    return _reading(desk, CableType.ARMOURED_THERMOSETTING_90, _ARMOURED)


_LOADS_A: Final = {1.5: 14.0, 2.5: 20.0, 4.0: 28.0, 6.0: 32.0, 10.0: 40.0}
"""Loads that nobody would wonder at on a flat cable of that size."""

_MOST_LIGHTING_A: Final = 16.0
"""More lamps than that are divided among circuits."""


def _dropping(desk: Desk, **facts: Any) -> tuple[float, float, Any]:
    """The voltage drop of a circuit, mV/A/m of its cable, and the house."""
    of = house(breaker("way1"), circuit("way", "way1", **facts))
    drop, _ = voltage_drop_v(of, of.circuits["way"], desk.limits)
    return drop, tabulated_drop(of.circuits["way"], desk.limits)[0], of


@family(
    id="voltage_drop_of_a_circuit",
    title="Voltage drop of a circuit",
    objectives=("LO31",),
    rules=("OC-08",),
    misconceptions=("M81", "M96"),
    form=AskForm.NUMBER,
    level=2,
)
def voltage_drop_of_a_circuit(desk: Desk) -> Draft:
    """The voltage drop at the end of a circuit, in volts."""
    draws = desk.draws
    size, length = draws.choice((1.5, 2.5, 4.0, 6.0, 10.0)), draws.stepped(12, 40, 1)
    current = draws.stepped(8, _LOADS_A[size], 1)
    drop, per_metre, of = _dropping(
        desk, cable=cable(cross_section_mm2=size, length_m=length), design_current_a=current
    )
    allowed = allowed_drop_v(of.circuits["way"], 230.0, desk.limits)
    wrong = {
        ("M81", "there_and_back"): 2 * drop,
        ("M96", "percent"): drop / 230.0 * 100,
        ("M81", "half"): drop / 2,
    }
    return Draft(
        answers=(number(drop, "V", 2),),
        slips=number_slips(wrong, "V", 2),
        unit="V",
        tolerance=round(max(0.02, 0.01 * drop), 3),
        values={
            "size": amount(size, "mm2", 1),
            "length": amount(length, "m"),
            "current": amount(current, "A"),
            "per_metre": amount(per_metre, "mV/A/m", 1),
            "right": amount(drop, "V"),
            "allowed": amount(allowed, "V", 1),
        },
        margins=((drop, allowed),),
    )


@family(
    id="longest_run_within_the_drop",
    title="The longest run within the drop",
    objectives=("LO31",),
    rules=("OC-08",),
    misconceptions=("M81", "M96"),
    form=AskForm.NUMBER,
    level=3,
)
def longest_run_within_the_drop(desk: Desk) -> Draft:
    """The longest run of a cable whose voltage drop stays within its share."""
    draws = desk.draws
    size, lights = draws.choice((1.5, 2.5, 4.0, 6.0)), draws.chance(0.5)
    current = draws.stepped(6, min(_LOADS_A[size], _MOST_LIGHTING_A) if lights else _LOADS_A[size], 1)
    facts: dict[str, Any] = {"design_current_a": current, "luminaires": lights}
    one_metre, per_metre, of = _dropping(desk, cable=cable(cross_section_mm2=size, length_m=1.0), **facts)
    allowed = allowed_drop_v(of.circuits["way"], 230.0, desk.limits)
    shares = desk.limits.overcurrent.voltage_drop_percent
    own, other = shares["lighting" if lights else "other"].value, shares["other" if lights else "lighting"].value
    right = allowed / one_metre
    wrong = {("M96", "other_share"): right * other / own, ("M81", "there_and_back"): right / 2}
    return Draft(
        answers=(number(right, "m", 1),),
        slips=number_slips(wrong, "m", 1),
        unit="m",
        tolerance=round(0.01 * right + 0.05, 2),
        values={
            "size": amount(size, "mm2", 1),
            "current": amount(current, "A"),
            "per_metre": amount(per_metre, "mV/A/m", 1),
            "load": desk.label("lighting" if lights else "power"),
            "allowed": amount(allowed, "V", 1),
            "share": f"{plain(own)}\u00a0%",
            "other": f"{plain(other)}\u00a0%",
            "right": amount(right, "m", 1),
        },
    )


FAMILIES: tuple[Family, ...] = (
    capacity_with_factors,
    cable_for_a_device,
    rating_of_a_flat_cable,
    rating_of_an_armoured_cable,
    voltage_drop_of_a_circuit,
    longest_run_within_the_drop,
)
