from __future__ import annotations

import dataclasses
import math
import typing

import pytest

from trainer.domain.equipment import EquipmentKind, PvArray, Source, SourceKind
from trainer.domain.installation import Installation
from trainer.domain.validation import validated
from trainer.domain.validation.plausible import RANGES
from trainer.domain.validation.units import UNITS, unit_of
from trainer.domain.vocabulary import EarthingSystem


def _records(record: type, seen: set[type]) -> set[type]:
    if record not in seen:
        seen.add(record)
        for hint in typing.get_type_hints(record).values():
            for part in (hint, *typing.get_args(hint)):
                if dataclasses.is_dataclass(part):
                    _records(part, seen)  # type: ignore[arg-type]
    return seen


def _numbers() -> set[str]:
    names = set()
    for record in _records(Installation, set()):
        hints = typing.get_type_hints(record)
        for field in dataclasses.fields(record):
            parts = (hints[field.name], *typing.get_args(hints[field.name]))
            if field.init and (float in parts or int in parts):
                names.add(field.name)
    return names


def test_a_sound_house_passes_as_it_is(house):
    assert validated(house) is house


def test_every_number_of_the_model_has_a_plausible_range():
    assert _numbers() == set(RANGES)


def test_every_physical_quantity_of_the_model_ends_in_its_unit():
    counts = {"grouped_with", "modules", "modules_in_series", "strings_in_parallel", "points", "poles"}
    counts |= {"phases", "way", "ways", "year_installed"}
    assert {name for name in _numbers() if unit_of(name) is None} == counts


@pytest.mark.parametrize(
    ("name", "sign"),
    [
        ("length_m", "m"),
        ("rated_residual_operating_current_ma", "mA"),
        ("measured_insulation_mohm", "Mohm"),
        ("soil_resistivity_k_m_per_w", "K m/W"),
        ("voltage_coefficient_percent_per_k", "%/K"),
        ("rated_diversity_factor", ""),
    ],
)
def test_the_unit_is_the_longest_that_ends_the_name(name, sign):
    assert unit_of(name) is not None
    assert unit_of(name).sign == sign


def test_a_name_that_is_only_a_unit_has_none():
    assert all(unit_of(suffix) is None for suffix in UNITS if "_" not in suffix)


def test_an_impedance_of_350_in_a_tn_house_looks_like_milliohms(changed, problems):
    found = problems(changed("supply", external_earth_fault_loop_impedance_ohm=350.0))
    problem = found["supply.external_earth_fault_loop_impedance_ohm"]
    assert "looks like milliohms" in problem.problem
    assert (problem.value, problem.nearest) == (350, "0.35")


def test_a_measured_loop_of_350_in_a_tn_house_looks_like_milliohms(changed, problems):
    found = problems(changed("circuits.charger", measured_earth_fault_loop_impedance_ohm=350.0))
    problem = found["circuits.charger.measured_earth_fault_loop_impedance_ohm"]
    assert "looks like milliohms" in problem.problem


def test_a_loop_of_350_ohm_is_believed_where_it_passes_through_the_soil(changed, problems):
    house = changed("supply", earthing_system=EarthingSystem.TT, external_earth_fault_loop_impedance_ohm=350.0)
    assert problems(house) == {}


@pytest.mark.parametrize(
    "slip",
    [
        ("devices.way1", "rated_residual_operating_current_ma", 0.03, "amperes", "30"),
        ("devices.way1", "measured_break_time_ms", 0.024, "seconds", "24"),
        ("devices.way1", "breaking_capacity_ka", 6000.0, "amperes", "6"),
        ("devices.main", "rated_current_a", 100000.0, "milliamperes", "100"),
        ("equipment.wallbox", "rated_power_w", 7.4, "kilowatts", "7400"),
        ("equipment.wallbox", "standing_dc_ma", 0.006, "amperes", "6"),
        ("circuits.charger.cable", "length_m", 12000.0, "millimetres", "12"),
        ("circuits.charger.cable", "insulation_contact_mm", 0.5, "metres", "500"),
        ("circuits.charger.cable", "ambient_c", 303.0, "kelvin", None),
        ("supply", "nominal_voltage_to_earth_v", 400.0, "the voltage between lines", None),
        ("boards.cu", "rated_diversity_factor", 80.0, "per cent", "0.8"),
    ],
)
def test_a_number_in_a_wrong_unit_is_refused_with_what_it_looks_like(house, changed, problems, slip):
    place, name, value, looks, nearest = slip
    if place.endswith(".cable"):
        cable = dataclasses.replace(house.circuits["charger"].cable, **{name: value})
        spoilt = changed("circuits.charger", cable=cable)
    else:
        spoilt = changed(place, **{name: value})
    problem = problems(spoilt)[f"{place}.{name}"]
    assert f"looks like {looks}" in problem.problem
    assert problem.nearest == nearest


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused(changed, problems, value):
    problem = problems(changed("devices.way1", rated_current_a=value))["devices.way1.rated_current_a"]
    assert "finite" in problem.problem


@pytest.mark.parametrize("value", [0.0, -16.0])
def test_a_rated_current_of_nothing_or_less_is_refused(changed, problems, value):
    assert "devices.way1.rated_current_a" in problems(changed("devices.way1", rated_current_a=value))


def test_no_leakage_at_all_is_a_plausible_leakage(changed, problems):
    assert problems(changed("equipment.wallbox", protective_conductor_current_ma=0.0)) == {}


def test_two_phases_are_neither_one_nor_three(changed, problems):
    problem = problems(changed("supply", phases=2))["supply.phases"]
    assert problem.possible == ("1", "3")


@pytest.mark.parametrize("text", ["two\nlines", "bell\x07", "half a pair \ud800", "x" * 501])
def test_a_text_that_no_paper_can_show_is_refused(house, problems, text):
    assert "title" in problems(dataclasses.replace(house, title=text))


@pytest.mark.parametrize("name", ["", "way 1", "way.1", "-way", "w" * 65, "weg\u0661", "a/b"])
def test_an_id_that_no_path_could_name_is_refused(house, problems, name):
    boards = {name: dataclasses.replace(house.boards["cu"], id=name)}
    devices = {
        key: dataclasses.replace(each, board=name, fed_by=name if each.fed_by == "cu" else each.fed_by)
        for key, each in house.devices.items()
    }
    found = problems(dataclasses.replace(house, boards=boards, devices=devices))
    assert "letters, digits" in found[f"boards.{name}.id"].problem


def test_an_unknown_notice_is_named_with_the_nearest(house, problems):
    found = problems(dataclasses.replace(house, notices=frozenset({"rcd_tset"})))
    assert found["notices.rcd_tset"].nearest == "rcd_test"


def test_an_unknown_route_to_the_network_operator_is_named_with_the_nearest(changed, problems):
    assert problems(changed("network", generation_route="G89"))["network.generation_route"].nearest in ("G98", "G99")


def test_a_number_out_of_range_is_told_with_its_unit_and_what_is_plausible(changed, problems):
    problem = problems(changed("equipment.wallbox", standing_dc_ma=5000.0))["equipment.wallbox.standing_dc_ma"]
    assert problem.problem == "too high to be plausible in mA"
    assert problem.possible == ("0, or 0.02 to 1000",)


def test_a_count_out_of_range_is_told_without_a_unit(changed, problems):
    problem = problems(changed("boards.cu", ways=900))["boards.cu.ways"]
    assert (problem.problem, problem.possible) == ("too high to be plausible", ("1 to 500",))


def test_a_text_of_five_hundred_characters_is_the_longest(house, problems):
    assert problems(dataclasses.replace(house, title="x" * 500)) == {}


# The least and the greatest that real work shows, from trade experience (common practice, no source).
@pytest.mark.parametrize(
    ("name", "least", "greatest"),
    [
        ("poles", 1, 4),
        ("modules", 1, 12),
        ("ways", 1, 72),
        ("rated_current_a", 1, 1600),
        ("socket_outlet_rated_current_a", 2, 125),
        ("rated_residual_operating_current_ma", 10, 3000),
        ("direct_current_detection_ma", 6, 300),
        ("measured_break_time_ms", 5, 2000),
        ("external_earth_fault_loop_impedance_ohm", 0.01, 5000),
        ("electrode_resistance_ohm", 0.5, 5000),
        ("measured_insulation_mohm", 0, 2000),
        ("length_m", 0.3, 500),
        ("cross_section_mm2", 1, 300),
        ("modules_in_series", 1, 30),
        ("strings_in_parallel", 1, 20),
        ("open_circuit_voltage_v", 5, 90),
        ("voltage_coefficient_percent_per_k", -0.5, -0.2),
        ("minimum_temperature_c", -40, 5),
        ("prospective_fault_current_ka", 0.2, 50),
        ("rated_diversity_factor", 0.4, 1),
        ("concealed_depth_mm", 0, 300),
        ("string_fuse_rated_current_a", 2, 32),
        ("starting_current_a", 1, 2000),
        ("load_limit_a", 6, 630),
    ],
)
def test_what_real_work_shows_is_plausible(name, least, greatest):
    assert RANGES[name].holds(least)
    assert RANGES[name].holds(greatest)


def test_a_word_inside_a_nested_table_is_judged_too(changed, problems):
    array = PvArray(
        modules_in_series=8,
        strings_in_parallel=1,
        open_circuit_voltage_v=40.0,
        short_circuit_current_a=13.0,
        frame_earthing="bondet",
    )
    source = Source(kind=SourceKind.PV, rated_current_a=16.0)
    facts = {"kind": EquipmentKind.PV_INVERTER, "charger": None, "source": source, "pv_array": array}
    assert (
        problems(changed("equipment.wallbox", **facts))["equipment.wallbox.pv_array.frame_earthing"].nearest == "bonded"
    )
