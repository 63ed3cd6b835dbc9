"""Questions on PV arrays: the device before the inverter, strings and their fuses, frames."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.equipment import PvArray
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import (
    Reason,
    match,
    number,
    number_slips,
    others,
    several,
    several_slips,
    slips,
)
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house, inverter, rcbo, supply, tt_earth
from trainer.domain.questions.judging import drawn_evenly, failing, first_passing, only_passing, passing
from trainer.domain.questions.residual_current import TYPES
from trainer.domain.rules.pv import FrameEarthing
from trainer.domain.vocabulary import EarthingSystem, MakerWord, Outcome, RcdType

_INVERTER_SHEETS: Final[Mapping[str, dict[str, Any]]] = {
    "silent": {"galvanic_separation": False},
    "separated": {"galvanic_separation": True},
    "states_a": {"galvanic_separation": False, "maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED},
    "states_f": {"galvanic_separation": False, "maker_rcd_type": RcdType.F, "maker_rcd_word": MakerWord.REQUIRED},
}
_TYPE_RULES: Final = ("PV-01", "RCD-06")


@family(
    id="type_before_a_pv_inverter",
    title="The type before a PV inverter",
    objectives=("LO15", "LO34"),
    rules=_TYPE_RULES,
    misconceptions=("M11", "M12", "M14"),
    form=AskForm.ONE,
    level=2,
)
def type_before_a_pv_inverter(desk: Desk) -> Draft:
    """The least type before a PV inverter, from its data sheet."""
    draws = desk.draws
    sheet = draws.choice(tuple(_INVERTER_SHEETS))
    houses = {
        each: house(rcbo("way1", each), circuit("pv", "way1"), inverter("pv", "pv", **_INVERTER_SHEETS[sheet]))
        for each in TYPES
    }
    right = first_passing(desk, houses, _TYPE_RULES)

    def reason(name: str) -> Reason:
        if RcdType(name).covers(RcdType(right)):
            return "M12", "more_than_needed"
        return ("M11", "type_ac") if name == "AC" else ("M14", "too_low")

    values = {"maker": draws.choice(desk.data.names.makers), "model": f"{draws.choice('SHPVZ')}{draws.integer(20, 60)}"}
    rows = [
        (desk.label("row_output"), plain(draws.stepped(3.0, 3.6, 0.1)), "kW"),
        (desk.label("row_separation"), desk.label("yes" if sheet == "separated" else "no"), ""),
        (desk.label("row_device"), desk.label(f"device_{sheet}"), ""),
    ]
    return Draft(
        answers=(right,),
        slips=others(TYPES, right, reason),
        choices=desk.choices(TYPES),
        values={**values, "right": right},
        why=sheet,
        pack=(desk.sheet(rows, values),),
    )


_NEED_RULES: Final = ("RCD-04", "RCD-09", "LOC-01")


def _pv_circuit(run: dict[str, Any], *, tt: bool = False, bathroom: bool = False) -> Installation:
    facts = tt_earth(80.0) if tt else {}
    way = circuit("pv", "way1", cable=cable(**run), in_bathroom_zone=bathroom)
    return house(breaker("way1", poles=2, rated_current_a=20.0), way, inverter("pv", "pv"), **facts)


def _pv_circuits(depth: float) -> dict[str, Installation]:
    hidden: dict[str, Any] = {"concealed_depth_mm": depth}
    return {
        "hidden": _pv_circuit(hidden),
        "studs": _pv_circuit({"partition_with_metal_parts": True}),
        "tt": _pv_circuit({}, tt=True),
        "bathroom": _pv_circuit({}, bathroom=True),
        "surface": _pv_circuit({}),
        "armour": _pv_circuit({**hidden, "earthed_metal_covering": True}),
        "deep": _pv_circuit({"concealed_depth_mm": depth + 40.0}),
        "plate": _pv_circuit({**hidden, "mechanically_protected": True}),
    }


@family(
    id="whether_pv_needs_a_device",
    title="Does the PV circuit need a device at all",
    objectives=("LO15", "LO01"),
    rules=_NEED_RULES,
    misconceptions=("M12", "M45", "M61"),
    form=AskForm.SEVERAL,
    level=3,
)
def whether_pv_needs_a_device(desk: Desk) -> Draft:
    """Of six circuits of PV inverters, those that must have a residual current device for their own sake."""
    depth = desk.draws.stepped(20, 40, 5)
    houses = _pv_circuits(depth)
    ids = drawn_evenly(desk, passing(desk, houses, _NEED_RULES), failing(desk, houses, _NEED_RULES), 3)
    needed = [name for name in ids if name in failing(desk, houses, _NEED_RULES)]
    right = several(ids, needed)
    wrong: dict[Reason, list[str]] = {
        ("M45", "none"): [],
        ("M12", "all"): ids,
        ("M61", "not_hidden"): [name for name in needed if name not in ("hidden", "studs")],
    }
    values = {"depth": amount(depth, "mm"), "deep": amount(depth + 40.0, "mm")}
    return Draft(
        answers=(right,),
        slips=several_slips(ids, wrong, right),
        choices=desk.choices(ids, values),
        values={**values, "needed": "; ".join(desk.label(name, values) for name in needed)},
    )


def _array(**facts: Any) -> PvArray:
    given: dict[str, Any] = {
        "modules_in_series": 8,
        "strings_in_parallel": 1,
        "open_circuit_voltage_v": 45.0,
        "short_circuit_current_a": 10.0,
        "class_ii": True,
        "frame_is_extraneous": False,
        "frame_earthing": FrameEarthing.NONE,
    }
    return PvArray(**(given | facts))


def _with_array(array: PvArray, system: EarthingSystem = EarthingSystem.TN_C_S) -> Installation:
    return house(rcbo("way1", "B"), circuit("pv", "way1"), inverter("pv", "pv", pv_array=array), supply=supply(system))


def _cold_array(desk: Desk) -> PvArray:
    draws = desk.draws
    return _array(
        modules_in_series=draws.integer(7, 14),
        open_circuit_voltage_v=draws.stepped(38.0, 52.0, 0.5),
        voltage_coefficient_percent_per_k=-draws.stepped(0.24, 0.34, 0.01),
        minimum_temperature_c=-draws.stepped(5, 15, 1),
        maximum_input_voltage_v=1000.0,
    )


def _cold_values(array: PvArray) -> dict[str, str]:
    coefficient, coldest = array.voltage_coefficient_percent_per_k or 0.0, array.minimum_temperature_c or 0.0
    return {
        "modules": str(array.modules_in_series),
        "voltage": amount(array.open_circuit_voltage_v, "V", 1),
        "coefficient": f"{plain(coefficient).replace('-', '−')}\u00a0%/K",
        "steepness": f"{plain(-coefficient)}\u00a0%",
        "coldest": f"−{plain(-coldest)}\u00a0°C",
        "difference": plain(25 - coldest),
    }


@family(
    id="string_voltage_in_the_cold",
    title="A string's voltage in the cold",
    objectives=("LO16",),
    rules=("PV-06",),
    misconceptions=("M71", "M72"),
    form=AskForm.NUMBER,
    level=2,
)
def string_voltage_in_the_cold(desk: Desk) -> Draft:
    """The open-circuit voltage of a string at the lowest temperature."""
    array = _cold_array(desk)
    right = float(desk.verdict("PV-06", _with_array(array), "pv").value or 0)
    plate = array.modules_in_series * array.open_circuit_voltage_v
    from_zero = plate * (1 + (array.voltage_coefficient_percent_per_k or 0) * (array.minimum_temperature_c or 0) / 100)
    wrong = {("M71", "plate"): plate, ("M72", "from_zero"): from_zero, ("M72", "falls"): 2 * plate - right}
    return Draft(
        answers=(number(right, "V", 0),),
        slips=number_slips(wrong, "V", 0),
        unit="V",
        tolerance=round(0.005 * right, 1),
        values={**_cold_values(array), "plate": amount(plate, "V", 1), "right": amount(right, "V", 0)},
    )


@family(
    id="modules_in_a_string",
    title="How many modules in a string",
    objectives=("LO16",),
    rules=("PV-06",),
    misconceptions=("M71", "M72"),
    form=AskForm.NUMBER,
    level=3,
)
def modules_in_a_string(desk: Desk) -> Draft:
    """The most modules in series whose voltage on the coldest morning stays within the inverter's limit."""
    allowed = desk.draws.choice((500.0, 550.0, 600.0, 800.0, 1000.0))
    array = replace(_cold_array(desk), maximum_input_voltage_v=allowed)
    strings = {count: replace(array, modules_in_series=count) for count in range(2, 31)}
    fitting = [count for count, each in strings.items() if not desk.fails("PV-06", _with_array(each))]
    most = max(fitting)
    voltage = float(desk.verdict("PV-06", _with_array(strings[most]), "pv").value or 0)
    one = voltage / most
    plate = array.open_circuit_voltage_v
    wrong = {("M71", "plate"): float(int(allowed / plate)), ("M72", "falls"): float(int(allowed / (2 * plate - one)))}
    return Draft(
        answers=(number(most, "", 0),),
        slips=number_slips(wrong, "", 0),
        values={
            **_cold_values(array),
            "allowed": amount(allowed, "V"),
            "one": amount(one, "V", 1),
            "most": str(most),
            "quotient": plain(allowed / one),
        },
        margins=((allowed / one % 1 + 1, 1.0), (allowed / one % 1 + 1, 2.0)),
    )


@family(
    id="strings_without_fuses",
    title="How many strings without fuses",
    objectives=("LO17",),
    rules=("PV-07",),
    misconceptions=("M73", "M74"),
    form=AskForm.NUMBER,
    level=3,
)
def strings_without_fuses(desk: Desk) -> Draft:
    """The most strings in parallel that need no fuses."""
    draws = desk.draws
    short, bears = draws.stepped(4.0, 12.0, 0.2), draws.choice((15.0, 20.0, 25.0, 30.0))
    arrays = {
        count: _array(
            strings_in_parallel=count, short_circuit_current_a=short, module_maximum_overcurrent_protection_a=bears
        )
        for count in range(1, 10)
    }
    most = max(count for count, each in arrays.items() if not desk.fails("PV-07", _with_array(each)))
    factor = desk.limits.sources.highest_current_factor.value
    wrong = {
        ("M74", "without_factor"): 1.0 + int(bears / short),
        ("M73", "all_strings"): float(int(bears / (factor * short))),
    }
    reverse = {count: (count - 1) * factor * short for count in arrays}
    return Draft(
        answers=(number(most, "", 0),),
        slips=number_slips(wrong, "", 0),
        values={
            "short": amount(short, "A", 1),
            "bears": amount(bears, "A"),
            "most": str(most),
            "factor": plain(factor),
            "reverse": amount(reverse[most], "A", 1),
            "more": amount(reverse[most + 1], "A", 1),
        },
        margins=tuple((value, bears) for value in reverse.values() if value),
    )


_FUSES_A: Final = (8.0, 10.0, 12.0, 15.0, 16.0, 20.0, 25.0, 30.0, 32.0)


def _fused(short: float, bears: float, rating: float) -> Installation:
    array = _array(
        strings_in_parallel=4,
        short_circuit_current_a=short,
        module_maximum_overcurrent_protection_a=bears,
        string_fuse_rated_current_a=rating,
    )
    return _with_array(array)


@family(
    id="rating_of_a_string_fuse",
    title="The rating of a string fuse",
    objectives=("LO17",),
    rules=("PV-08",),
    misconceptions=("M73", "M74"),
    form=AskForm.ONE,
    level=3,
)
def rating_of_a_string_fuse(desk: Desk) -> Draft:
    """Of four ratings the one inside the window of a string fuse."""
    draws = desk.draws
    short, bears = draws.stepped(8.0, 14.0, 0.2), draws.choice((20.0, 25.0, 30.0))
    houses = {f"f{rating:g}": _fused(short, bears, rating) for rating in _FUSES_A}
    good, bad = passing(desk, houses, ("PV-08",)), failing(desk, houses, ("PV-08",))
    if not good:
        raise RedrawError("no rating lies in the window")
    taken = {draws.choice(good), *draws.shuffled(bad)[:3]}
    houses = {name: of for name, of in houses.items() if name in taken}
    ratings = [float(name[1:]) for name in houses]
    right = only_passing(desk, houses, ("PV-08",))
    factors = desk.limits.sources.string_fuse
    least, most = factors["least"].value * short, min(factors["most"].value * short, bears)
    accepted = factors["least_accepted"].value * short
    return Draft(
        answers=(right,),
        slips=others(
            houses, right, lambda name: ("M74", "too_small") if float(name[1:]) < least else ("M73", "too_large")
        ),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "A")) for name in houses),
        values={
            "short": amount(short, "A", 1),
            "bears": amount(bears, "A"),
            "least": amount(least, "A", 1),
            "most": amount(most, "A", 1),
            "right": amount(float(right[1:]), "A"),
        },
        margins=tuple(
            (rating, edge) for rating in ratings for edge in (least, accepted, factors["most"].value * short)
        ),
    )


_FRAMES: Final[Mapping[str, dict[str, Any]]] = {
    "steel_hall": {"frame_is_extraneous": True},
    "field": {"frame_is_extraneous": True},
    "tiles": {},
    "garage": {},
    "old_modules": {"class_ii": False},
    "old_shed": {"class_ii": False},
}
_MEASURES: Final = (FrameEarthing.NONE, FrameEarthing.PROTECTIVE_CONDUCTOR, FrameEarthing.BONDED)


def _measure(desk: Desk, name: str) -> str:
    """The least that the frame asks for: the first measure with which the rule has no fault to find."""
    for measure in _MEASURES:
        of = _with_array(_array(**{**_FRAMES[name], "frame_earthing": measure}))
        if desk.verdict("PV-10", of, "pv").outcome is Outcome.COMPLIES:
            return measure.value
    raise RedrawError(f"no measure suits {name}")


@family(
    id="frames_of_arrays",
    title="Bond, earth or leave the frame",
    objectives=("LO19",),
    rules=("PV-10",),
    misconceptions=("M23", "M76"),
    form=AskForm.MATCH,
    level=3,
)
def frames_of_arrays(desk: Desk) -> Draft:
    """Arrays on a PME supply matched to what their frames ask for."""
    draws = desk.draws
    ids = draws.shuffled(
        [draws.choice(pair) for pair in (("steel_hall", "field"), ("tiles", "garage"), ("old_modules", "old_shed"))]
    )
    partner = {name: _measure(desk, name) for name in ids}
    right = match(ids, partner)
    bonded = match(ids, dict.fromkeys(ids, FrameEarthing.BONDED.value))
    left = match(ids, {name: "none" if each == "bonded" else each for name, each in partner.items()})
    return Draft(
        answers=(right,),
        slips=slips({bonded: ("M76", "all_bonded"), left: ("M23", "left_alone")}),
        choices=desk.choices(ids),
        partners=desk.choices([each.value for each in _MEASURES]),
    )


FAMILIES: tuple[Family, ...] = (
    type_before_a_pv_inverter,
    whether_pv_needs_a_device,
    string_voltage_in_the_cold,
    modules_in_a_string,
    strings_without_fuses,
    rating_of_a_string_fuse,
    frames_of_arrays,
)
