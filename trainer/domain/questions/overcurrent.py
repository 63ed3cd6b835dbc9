"""Questions on overcurrent devices: the largest loop, breaking capacity, protective conductors."""

from __future__ import annotations

from typing import Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.cables import CableType
from trainer.domain.calculations.adiabatic import energy_a2s, withstanding_mm2
from trainer.domain.calculations.disconnection import instantaneous_multiple, maximum_impedance_ohm
from trainer.domain.calculations.fault_current import prospective_fault_current_ka
from trainer.domain.devices import Board
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import breaker, cable, circuit, device, house, supply
from trainer.domain.questions.judging import first_passing
from trainer.domain.vocabulary import Curve, DeviceKind

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
    limits = desk.limits
    right = maximum_impedance_ohm(breaker("way1", curve=curve, rated_current_a=rated), 0.4, _VOLTAGE_V, limits)
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
        tolerance=round(max(0.005, 0.01 * right), 4),
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


_CAPACITIES_KA: Final = (3.0, 6.0, 10.0, 16.0)


@family(
    id="breaking_capacity_for_a_fault",
    title="Breaking capacity for a fault",
    objectives=("LO30",),
    rules=("OC-07",),
    misconceptions=("M44", "M60"),
    form=AskForm.ONE,
    level=1,
)
def breaking_capacity_for_a_fault(desk: Desk) -> Draft:
    """The least breaking capacity of circuit-breakers in a three-phase board, from the measured fault current."""
    draws = desk.draws
    fault = draws.stepped(*draws.choice(((1.6, 2.8), (3.4, 5.6), (6.6, 9.4), (10.8, 15.0))), 0.2)
    houses = {
        f"k{rating:g}": house(
            breaker("way1", breaking_capacity_ka=rating),
            circuit("way", "way1"),
            supply=supply(phases=3, prospective_fault_current_ka=fault),
        )
        for rating in _CAPACITIES_KA
    }
    right = first_passing(desk, houses, ("OC-07",))
    chosen = float(right[1:])
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: ("M60", "more") if float(name[1:]) > chosen else ("M44", "less")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "kA")) for name in houses),
        values={
            "fault": amount(fault, "kA", 1),
            "right": amount(chosen, "kA"),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
        margins=tuple((fault, rating) for rating in _CAPACITIES_KA),
    )


@family(
    id="fault_current_at_a_second_board",
    title="Fault current at a second board",
    objectives=("LO30",),
    rules=("OC-07",),
    misconceptions=("M44", "M94"),
    form=AskForm.NUMBER,
    level=4,
)
def fault_current_at_a_second_board(desk: Desk) -> Draft:
    """The prospective fault current at the end of a single-phase distribution circuit."""
    draws = desk.draws
    at_origin, length = draws.stepped(1.4, 3.2, 0.1), draws.stepped(15, 45, 5)
    size = draws.choice((6.0, 10.0, 16.0))
    run = cable(cross_section_mm2=size, protective_conductor_mm2=6.0, length_m=length)
    of = house(
        breaker("way1", poles=2),
        circuit("feeder", "way1", cable=run),
        Board(id="second", fed_by="feeder"),
        supply=supply(prospective_fault_current_ka=at_origin),
    )
    right = prospective_fault_current_ka(of, of.boards["second"], desk.limits)
    per_metre = desk.limits.earthing.conductor_resistance.get(size) or 0.0
    source, both = _VOLTAGE_V / (at_origin * 1000), 2 * per_metre * length / 1000
    one_way = _VOLTAGE_V / (source**2 + (both / 2) ** 2) ** 0.5 / 1000
    plainly = _VOLTAGE_V / (source + both) / 1000
    wrong = {("M44", "origin"): at_origin, ("M94", "one_way"): one_way}
    return Draft(
        # The two impedances may also be added as plain numbers, as most people do.
        answers=(number(right, "kA", 2), number(plainly, "kA", 2)),
        slips=number_slips(wrong, "kA", 2),
        unit="kA",
        tolerance=0.02,
        values={
            "origin": amount(at_origin, "kA", 1),
            "length": amount(length, "m"),
            "size": amount(size, "mm2", 1),
            "per_metre": amount(per_metre, "mohm/m"),
            "source": amount(source, "ohm", 3),
            "both": amount(both, "ohm", 3),
            "right": amount(right, "kA"),
            "plainly": amount(plainly, "kA"),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
    )


_TIMES_S: Final = (0.1, 0.2, 0.4)


@family(
    id="protective_conductor_for_a_fault",
    title="Protective conductor for a fault",
    objectives=("LO29",),
    rules=("OC-06",),
    misconceptions=("M83", "M95"),
    form=AskForm.NUMBER,
    level=3,
)
def protective_conductor_for_a_fault(desk: Desk) -> Draft:
    """The least cross-section that withstands a fault current for a time."""
    draws = desk.draws
    current, time_s = draws.stepped(300, 1500, 20), draws.choice(_TIMES_S)
    hot = draws.chance(0.5)
    factors = desk.limits.earthing.k_factor
    k = factors["in_cable_90" if hot else "in_cable_70"]
    energy = energy_a2s(current, time_s)
    right = withstanding_mm2(energy, k.value)
    wrong = {
        ("M83", "time_not_rooted"): current * time_s / k.value,
        ("M83", "no_time"): current / k.value,
        ("M95", "other_k"): withstanding_mm2(energy, factors["in_cable_70" if hot else "in_cable_90"].value),
    }
    return Draft(
        answers=(number(right, "mm2", 2),),
        slips=number_slips(wrong, "mm2", 2),
        unit="mm2",
        tolerance=round(0.02 * right, 3),
        values={
            "current": amount(current, "A"),
            "time": amount(time_s, "s", 1),
            "insulation": desk.label("hot" if hot else "warm"),
            "k": plain(k.value),
            "k_hot": plain(factors["in_cable_90"].value),
            "k_warm": plain(factors["in_cable_70"].value),
            "right": amount(right, "mm2"),
        },
        citations=(k.citation,),
    )


_SIZES_MM2: Final = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0)


@family(
    id="protective_conductor_by_the_table",
    title="Protective conductor by the table",
    objectives=("LO29",),
    rules=("OC-06",),
    misconceptions=("M30", "M60"),
    form=AskForm.ONE,
    level=2,
)
def protective_conductor_by_the_table(desk: Desk) -> Draft:
    """The least protective conductor that needs no calculation, by the size of the line conductor."""
    draws = desk.draws
    line = draws.choice((4.0, 6.0, 10.0, 16.0, 25.0, 35.0))
    offered = sorted({*_SIZES_MM2, 25.0, 35.0})
    houses = {f"s{size:g}": _with_protective_conductor(line, size) for size in offered}
    good = [name for name, of in houses.items() if desk.verdict("OC-06", of, "way").case == "table"]
    right = good[0]
    place = offered.index(float(right[1:]))
    start = draws.integer(max(0, place - 3), min(place, len(offered) - 4))
    ids = tuple(f"s{size:g}" for size in offered[start : start + 4])
    return Draft(
        answers=(right,),
        slips=others(ids, right, lambda name: ("M60", "more") if name in good else ("M30", "less")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "mm2", 1)) for name in ids),
        values={
            "line": amount(line, "mm2", 1),
            "right": amount(float(right[1:]), "mm2", 1),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
        citations=(desk.limits.earthing.protective_conductor_table_mm2["equal_up_to"].citation,),
    )


def _with_protective_conductor(line: float, size: float) -> Installation:
    run = cable(
        type=CableType.ARMOURED_THERMOPLASTIC_70, cross_section_mm2=line, protective_conductor_mm2=size, length_m=10.0
    )
    return house(
        device("way1", DeviceKind.FUSE, standard="BS 88-2", rated_current_a=32.0), circuit("way", "way1", cable=run)
    )


FAMILIES: tuple[Family, ...] = (
    largest_loop_of_a_breaker,
    breaking_capacity_for_a_fault,
    fault_current_at_a_second_board,
    protective_conductor_for_a_fault,
    protective_conductor_by_the_table,
)
