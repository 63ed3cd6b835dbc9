"""Questions on heat pumps and compressors: the maker's word, the device, the curve."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.calculations.disconnection import maximum_impedance_ohm, non_tripping_multiple
from trainer.domain.calculations.loops import earth_fault_loop_impedance
from trainer.domain.equipment import EquipmentKind, Motor
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, others, the_only
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import breaker, cable, circuit, house, item, rcbo
from trainer.domain.questions.judging import first_passing, only_passing
from trainer.domain.questions.residual_current import TYPES
from trainer.domain.vocabulary import Curve, FrontEnd, MakerWord, Outcome, RcdType

_WORDS: Final[Mapping[str, dict[str, Any]]] = {
    "requires_a": {
        "maker_rcd_type": RcdType.A,
        "maker_rcd_word": MakerWord.REQUIRED,
        "front_end": FrontEnd.SIX_PULSE_CAPACITOR,
    },
    "requires_b": {
        "maker_rcd_type": RcdType.B,
        "maker_rcd_word": MakerWord.REQUIRED,
        "front_end": FrontEnd.BRIDGE_CAPACITOR,
    },
    "requires_f": {
        "maker_rcd_type": RcdType.F,
        "maker_rcd_word": MakerWord.REQUIRED,
        "front_end": FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
    },
    "recommends_b": {
        "maker_rcd_type": RcdType.B,
        "maker_rcd_word": MakerWord.RECOMMENDED,
        "front_end": FrontEnd.BRIDGE_CAPACITOR,
    },
    "silent": {"front_end": FrontEnd.BRIDGE_POWER_FACTOR_STAGE},
}


@family(
    id="makers_word_on_a_heat_pump",
    title="The maker's word on a heat pump",
    objectives=("LO34", "LO02"),
    rules=("HP-01", "HP-02"),
    misconceptions=("M13", "M18", "M34", "M60"),
    form=AskForm.ONE,
    level=2,
)
def makers_word_on_a_heat_pump(desk: Desk) -> Draft:
    """The least type before a heat pump, from what its maker requires or recommends and from its front end."""
    draws = desk.draws
    word = draws.choice(tuple(_WORDS))
    facts = _WORDS[word]
    houses = {
        each: house(rcbo("way1", each), circuit("pump", "way1"), item("pump", "pump", EquipmentKind.HEAT_PUMP, **facts))
        for each in TYPES
    }
    right = first_passing(desk, houses, ("HP-01", "HP-02"))

    def reason(name: str) -> Reason:
        if RcdType(name).covers(RcdType(right)):
            return ("M18", "only_recommended") if word == "recommends_b" else ("M60", "more")
        return ("M34", "required") if word.startswith("requires") else ("M13", "too_low")

    values = {"maker": draws.choice(desk.data.names.makers), "model": f"{draws.choice('CGHRW')}{draws.integer(5, 14)}"}
    rows = [
        (desk.label("row_current"), plain(draws.stepped(9, 16, 1)), "A"),
        (desk.label("row_input"), desk.label(f"input_{facts['front_end']}"), ""),
        (desk.label("row_device"), desk.label(f"device_{word}"), ""),
    ]
    return Draft(
        answers=(right,),
        slips=others(TYPES, right, reason),
        choices=desk.choices(TYPES),
        values={**values, "right": right},
        why=word,
        rules=("HP-01",) if word.startswith("requires") else ("HP-02",),
        pack=(desk.sheet(rows, values),),
    )


_RATINGS_A: Final = (10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0)


@family(
    id="device_within_the_makers_limits",
    title="A device within the maker's limits",
    objectives=("LO34", "LO35"),
    rules=("HP-05",),
    misconceptions=("M31", "M34"),
    form=AskForm.ONE,
    level=2,
)
def device_within_the_makers_limits(desk: Desk) -> Draft:
    """Of four ratings the one that a heat pump's sheet allows."""
    draws = desk.draws
    place = draws.integer(1, len(_RATINGS_A) - 2)
    least, most = _RATINGS_A[place - 1] + draws.choice((1.0, 2.0, 3.0)), _RATINGS_A[place]
    start = draws.integer(max(0, place - 3), min(place, len(_RATINGS_A) - 4))
    houses = {
        f"r{rating:g}": house(
            breaker("way1", rated_current_a=rating, poles=2),
            circuit("pump", "way1"),
            item(
                "pump",
                "pump",
                EquipmentKind.HEAT_PUMP,
                maker_minimum_circuit_current_a=least,
                maker_maximum_overcurrent_device_a=most,
            ),
        )
        for rating in _RATINGS_A[start : start + 4]
    }
    right = only_passing(desk, houses, ("HP-05",))
    chosen = float(right[1:])
    values = {"maker": draws.choice(desk.data.names.makers), "model": f"{draws.choice('CGHRW')}{draws.integer(5, 14)}"}
    rows = [
        (desk.label("row_running"), plain(least - draws.choice((2.0, 3.0))), "A"),
        (desk.label("row_least"), plain(least), "A"),
        (desk.label("row_most"), plain(most), "A"),
    ]
    return Draft(
        answers=(right,),
        slips=others(
            houses, right, lambda name: ("M34", "too_large") if float(name[1:]) > chosen else ("M31", "too_small")
        ),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "A")) for name in houses),
        values={**values, "least": amount(least, "A"), "most": amount(most, "A"), "right": amount(chosen, "A")},
        pack=(desk.sheet(rows, values),),
    )


_STARTS: Final = {Curve.B: (1.6, 2.7), Curve.C: (3.4, 4.6), Curve.D: (5.6, 9.2)}
"""Starting currents in multiples of the rating for which each curve is the first to ride through."""
_LENGTHS_M: Final = {Curve.B: (58, 88), Curve.C: (22, 36), Curve.D: (5, 11)}


def _compressor(curve: Curve, rated: float, starting: float, length: float) -> Installation:
    motor = Motor(direct_on_line=True, starting_current_a=starting)
    return house(
        breaker("way1", curve=curve, rated_current_a=rated, poles=2),
        circuit("pump", "way1", cable=cable(cross_section_mm2=4.0, length_m=length)),
        item("pump", "pump", EquipmentKind.MOTOR, rated_current_a=rated - 4, motor=motor),
    )


def _suits(desk: Desk, of: Installation) -> bool:
    """True when the starting current passes without tripping and an earth fault is cleared."""
    rides = desk.verdict("HP-04", of, "pump").outcome is Outcome.COMPLIES
    return rides and desk.verdict("OC-02", of, "pump").outcome is Outcome.COMPLIES


@family(
    id="curve_for_a_compressor",
    title="The curve for a compressor",
    objectives=("LO35", "LO27"),
    rules=("HP-04", "OC-02"),
    misconceptions=("M29", "M98"),
    form=AskForm.ONE,
    level=3,
)
def curve_for_a_compressor(desk: Desk) -> Draft:
    """The curve that rides through a compressor's start and still clears an earth fault."""
    draws = desk.draws
    wanted, rated = draws.choice(tuple(Curve)), draws.choice((16.0, 20.0))
    starting = round(draws.stepped(*_STARTS[wanted], 0.1) * rated)
    length = draws.stepped(*_LENGTHS_M[wanted], 1)
    houses = {curve.value: _compressor(curve, rated, starting, length) for curve in Curve}
    right = the_only(houses, lambda name: _suits(desk, houses[name]))
    loop, _ = earth_fault_loop_impedance(houses[right], houses[right].circuits["pump"], desk.limits)
    largest = {
        curve: maximum_impedance_ohm(breaker("way1", curve=curve, rated_current_a=rated), 0.4, 230.0, desk.limits)
        for curve in Curve
    }
    rides = {curve: non_tripping_multiple(curve, desk.limits) * rated for curve in Curve}
    chosen = Curve(right)

    def reason(name: str) -> Reason:
        return ("M29", "loop") if largest[Curve(name)] < loop else ("M98", "start")

    rows = [
        (desk.label("row", {"curve": curve.value, "rides": amount(rides[curve], "A")}), plain(largest[curve]), "Ω")
        for curve in Curve
    ]
    return Draft(
        answers=(right,),
        slips=others(houses, right, reason),
        choices=desk.choices(houses),
        values={
            "rated": amount(rated, "A"),
            "starting": amount(starting, "A"),
            "loop": amount(loop, "ohm"),
            "curve": right,
            "rides": amount(rides[chosen], "A"),
            "largest": amount(largest[chosen], "ohm"),
            "machine": desk.label(f"machine_{draws.integer(1, 4)}"),
        },
        pack=(desk.sheet(rows, {"rated": amount(rated, "A")}),),
        margins=tuple((loop, each) for each in largest.values()) + tuple((starting, each) for each in rides.values()),
    )


FAMILIES: tuple[Family, ...] = (makers_word_on_a_heat_pump, device_within_the_makers_limits, curve_for_a_compressor)
