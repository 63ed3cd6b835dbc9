"""One value moved: where findings flip, found by hand calculation, by print and by a second method."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from tests.domain.published import published
from trainer.domain.errors import OutOfRangeError, UnknownNameError
from trainer.domain.findings import holds
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import Outcome, RcdType
from trainer.interop.installations import read_installation
from trainer.resources import folder
from trainer.services.checking import check
from trainer.services.rulebook.rules import rule_of
from trainer.services.trying.moving import Flip, Sweep, sweep
from trainer.services.trying.places import Kind, place_of, places, put
from trainer.services.trying.values import STEPS_MAXIMUM, asked_values, usual_text

COMPLIES, FAILS = "complies", "does_not_comply"
EXAMPLES = sorted(path.stem for path in (folder("scenarios") / "examples").glob("*.toml"))


@cache
def example(name: str) -> Installation:
    return read_installation((folder("scenarios") / "examples" / f"{name}.toml").read_bytes()).installation


def moved(name: str, path: str, text: str, *rule_ids: str) -> Sweep:
    house = example(name)
    place = place_of(house, path)
    rules = tuple(rule_of(each) for each in rule_ids) or ALL_RULES
    return sweep(house, place, asked_values(house, place, text), rules)


def told(flip: Flip) -> tuple[object, str, object, str]:
    return flip.below.value, flip.below.outcome(flip.key), flip.above.value, flip.above.outcome(flip.key)


def test_the_voltage_drop_of_a_charger_flips_where_hand_calculation_says() -> None:
    """5 % of 230 V are 11.5 V (525.202); 10 mm2 drops 4.4 mV/A/m (Table 4D4); 32 A flow."""
    house = example("detached-house-four-sources")
    cable = house.circuits["charger"].cable
    assert cable is not None
    rows = published("cable_ratings_4d4")
    drop = next(row["drop2"] for row in rows if float(row["cross_section_mm2"]) == cable.cross_section_mm2)
    length_m = 11.5 / (32 * float(drop) / 1000)
    (flip,) = moved("detached-house-four-sources", "circuits.charger.cable.length_m", "5:100:5", "OC-08").flips
    assert told(flip) == (81.676, COMPLIES, 81.677, FAILS)
    assert flip.below.value < length_m < flip.above.value
    assert flip.exact


def test_leakage_flips_at_30_percent_of_the_rating() -> None:
    """Hand calculation: 30 % of 30 mA are 9 mA, two machines let 8 mA flow, so the third may let 1 mA."""
    path = "equipment.extractor.protective_conductor_current_ma"
    (flip,) = moved("workshop-leakage-sum", path, "0.5:4:0.5", "RCD-05").flips
    assert told(flip) == (1.0, COMPLIES, 1.001, FAILS)
    assert flip.before is not None
    assert (flip.before.verdict.value, flip.before.verdict.limit) == (9.0, 9.0)


def test_electrodes_flip_at_the_values_of_table_41_5() -> None:
    """BS 7671 Table 41.5: 500 ohm at 100 mA, 1667 ohm (50 V / 0.03 A = 1666.67 ohm) at 30 mA."""
    flips = moved("electrode-too-high-tt", "earthing.electrode_resistance_ohm", "10:2000:100", "RCD-09").flips
    assert {told(flip) for flip in flips} == {
        (500.0, COMPLIES, 500.0001, FAILS),
        (1666.6666, COMPLIES, 1666.6667, FAILS),
    }


def test_a_string_flips_between_two_whole_numbers_of_modules() -> None:
    """Hand calculation: 40 V at 40 K below 25 deg C rise by 0.26 %/K to 44.16 V; 13 give 574 V, 14 give 618 V."""
    path = "equipment.pv.pv_array.modules_in_series"
    (flip,) = moved("cottage-tt-charger-pv", path, "1:30:3", "PV-06").flips
    assert told(flip) == (13, COMPLIES, 14, FAILS)


def test_types_above_a_type_b_flip_at_type_b_alone() -> None:
    """531.3.3: a device above a type B that is itself of type A or F is not enough."""
    result = moved("type-a-above-type-b", "devices.incomer.rcd_type", "A,F,B", "RCD-07")
    key = ("RCD-07", "devices.way5")
    assert [(step.value, step.outcome(key)) for step in result.steps] == [
        (RcdType.A, FAILS),
        (RcdType.F, FAILS),
        (RcdType.B, COMPLIES),
    ]
    (flip,) = (each for each in result.flips if each.key == key)
    assert (flip.below.value, flip.above.value, flip.exact) == (RcdType.F, RcdType.B, True)


def test_what_is_left_out_turns_to_undetermined() -> None:
    result = moved("workshop-leakage-sum", "equipment.lathe.protective_conductor_current_ma", "0.2,left_out", "RCD-05")
    (flip,) = result.flips
    assert told(flip) == (0.2, COMPLIES, None, "undetermined")
    assert flip.after is not None
    assert flip.after.verdict.missing == ("equipment.lathe.protective_conductor_current_ma",)


def test_a_size_between_two_rows_of_the_table_cannot_be_and_is_said_to_be_none() -> None:
    result = moved("detached-house-four-sources", "circuits.kitchen.cable.cross_section_mm2", "", "OC-01", "OC-05")
    assert [step.value for step in result.steps][:3] == [1.0, 1.5, 2.5]
    assert result.flips
    assert not any(flip.exact for flip in result.flips)


def test_values_that_the_installation_cannot_have_are_told_and_the_others_tried() -> None:
    result = moved("detached-house-four-sources", "supply.phases", "1,2,3")
    refused = [step for step in result.steps if step.problems]
    assert 2 in [step.value for step in refused]
    assert "one or three" in " ".join(str(step.problems[0]) for step in refused)


def test_a_finding_that_turns_twice_between_two_values_is_found_where_the_halving_meets_it() -> None:
    def wide(circuit, _house, _limits):
        return holds(37.0 <= circuit.cable.length_m < 80.0) if circuit.id == "charger" else None

    house = example("detached-house-four-sources")
    place = place_of(house, "circuits.charger.cable.length_m")
    rule = replace(rule_of("OC-08"), judge=wide)
    # From 0 to 100 the ends agree, so nothing is seen; over three values both places are.
    assert sweep(house, place, (1.0, 100.0), (rule,)).flips == ()
    flips = sweep(house, place, (1.0, 50.0, 100.0), (rule,)).flips
    assert [told(flip) for flip in flips] == [(36.999, FAILS, 37.0, COMPLIES), (79.999, COMPLIES, 80.0, FAILS)]


def test_a_third_outcome_between_two_is_not_stepped_over() -> None:
    def graded(circuit, _house, _limits):
        length_m = circuit.cable.length_m
        otherwise = Outcome.ADVICE if length_m < 60 else Outcome.DOES_NOT_COMPLY
        return holds(length_m < 40, otherwise=otherwise) if circuit.id == "charger" else None

    house = example("detached-house-four-sources")
    place = place_of(house, "circuits.charger.cable.length_m")
    flips = sweep(house, place, (1.0, 101.0), (replace(rule_of("OC-08"), judge=graded),)).flips
    assert [(told(flip)[0], told(flip)[2]) for flip in flips] == [(39.999, 40.0), (59.999, 60.0)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_sides_of_every_flip_are_what_a_check_of_the_whole_installation_says(name: str) -> None:
    """The second method judges the changed installation by the whole book, as ``trainer check`` does."""
    house = example(name)
    numbers = [each for each in places(house) if each.kind is Kind.NUMBER and each.value and not each.choices]
    seen = 0
    for place in numbers[:: max(1, len(numbers) // 3)]:
        result = sweep(house, place, asked_values(house, place, usual_text(place)))
        for flip in result.flips:
            for side in (flip.below, flip.above):
                whole = check(put(house, place, side.value))
                outcomes = {(each.rule.id, each.subject): each.outcome for each in whole.findings}
                assert outcomes.get(flip.key, "") == side.outcome(flip.key)
            seen += 1
    assert seen


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_value_that_is_offered_can_be_put_back_as_it_is(name: str) -> None:
    house = example(name)
    offered = places(house)
    assert len(offered) > 100
    assert len({each.path for each in offered}) == len(offered)
    for each in offered:
        assert put(house, each, each.value) == house


def test_notices_are_moved_by_name() -> None:
    result = moved("detached-house-four-sources", "notices.rcd_test", "")
    assert [step.value for step in result.steps] == [True, False]
    assert result.flips


@pytest.mark.parametrize(
    ("path", "nearest"),
    [
        ("circuits.charger.cable.lenght_m", "circuits.charger.cable.length_m"),
        ("circuits.chargr.cable.length_m", "circuits.charger.cable.length_m"),
        ("earthing.electrode_ohm", "earthing.electrode_resistance_ohm"),
    ],
)
def test_an_unknown_path_is_refused_with_the_nearest(path: str, nearest: str) -> None:
    with pytest.raises(UnknownNameError) as refused:
        place_of(example("detached-house-four-sources"), path)
    (problem,) = refused.value.problems
    assert (problem.value, problem.nearest) == (path, nearest)


def test_a_path_of_a_record_names_what_can_be_moved_in_it() -> None:
    with pytest.raises(UnknownNameError, match="names a record") as refused:
        place_of(example("detached-house-four-sources"), "circuits.charger.cable")
    assert "circuits.charger.cable.type" in refused.value.problems[0].possible


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        ("circuits.charger.cable.length_m", "5:60:0", "step must be at least"),
        ("circuits.charger.cable.length_m", "60:5:5", "from the smaller number"),
        ("circuits.charger.cable.length_m", "1:2:3:4", "FROM:TO"),
        ("circuits.charger.cable.length_m", "a:b", "FROM:TO"),
        ("circuits.charger.cable.length_m", "long", "must be a number of m"),
        ("circuits.charger.cable.length_m", "5 m", "without the unit"),
        ("circuits.charger.cable.length_m", "nan", "must be a number"),
        ("circuits.charger.cable.length_m", "1e999", "must be a number"),
        ("circuits.charger.cable.length_m", "left_out", "cannot be left out"),
        ("circuits.charger.cable.length_m", "1:1000:1", f"at most {STEPS_MAXIMUM}"),
        ("circuits.charger.cable.length_m", ",", "names no value"),
        ("circuits.charger.cable.length_m", "1" * 5000, "longer than"),
        ("circuits.charger.cable.grouped_with", "1.5", "whole number"),
        ("circuits.charger.cable.type", "4D6", "unknown value"),
        ("supply.looped", "maybe", "unknown value"),
    ],
)
def test_values_that_cannot_be_are_refused_with_path_and_reason(path: str, text: str, said: str) -> None:
    house = example("detached-house-four-sources")
    with pytest.raises(OutOfRangeError, match=said) as refused:
        asked_values(house, place_of(house, path), text)
    assert path in refused.value.problems[0].path


def test_a_range_that_no_installation_can_have_is_refused_with_the_reason() -> None:
    with pytest.raises(OutOfRangeError, match="too high to be plausible"):
        moved("detached-house-four-sources", "circuits.charger.cable.length_m", "3000:4000:500")


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("5:6:0.5", (5.0, 5.5, 6.0)),
        ("5:6.2:0.5", (5.0, 5.5, 6.0, 6.2)),
        ("0.1:0.3:0.1", (0.1, 0.2, 0.3)),
        ("7", (7.0,)),
        ("9,7,7", (7.0, 9.0)),
    ],
)
def test_ranges_and_lists_are_read_to_the_resolution_of_the_unit(text: str, values: tuple[float, ...]) -> None:
    house = example("detached-house-four-sources")
    assert asked_values(house, place_of(house, "circuits.charger.cable.length_m"), text) == values
