from __future__ import annotations

import dataclasses

import pytest

from trainer.domain.cables import CableType
from trainer.domain.equipment import (
    Battery,
    Charger,
    EquipmentKind,
    NeutralEarthLink,
    PvArray,
    Source,
    SourceKind,
)
from trainer.domain.vocabulary import Curve, DeviceKind, Location, MakerWord, RcdType

RCD_FACTS = {"rcd_type": None, "rated_residual_operating_current_ma": None}


def test_a_circuit_breaker_has_no_residual_current_facts(changed, problems):
    found = problems(changed("devices.way1", kind=DeviceKind.CIRCUIT_BREAKER))
    assert set(found) == {"devices.way1.rcd_type", "devices.way1.rated_residual_operating_current_ma"}
    assert "circuit-breaker detects no residual current" in found["devices.way1.rcd_type"].problem


def test_a_residual_current_device_needs_its_type_or_its_rating(changed, problems):
    found = problems(changed("devices.way1", **RCD_FACTS))
    assert list(found) == ["devices.way1.rated_residual_operating_current_ma"]


@pytest.mark.parametrize("left_out", RCD_FACTS)
def test_a_residual_current_device_may_leave_one_of_them_unknown(changed, problems, left_out):
    assert problems(changed("devices.way1", **{left_out: None})) == {}


def test_an_rccb_has_no_curve(changed, problems):
    assert list(problems(changed("devices.way1", kind=DeviceKind.RCCB))) == ["devices.way1.curve"]


def test_a_switch_has_no_curve(changed, problems):
    assert "devices.main.curve" in problems(changed("devices.main", curve=Curve.B))


def test_four_poles_have_no_place_on_a_single_phase_supply(changed, problems):
    assert problems(changed("devices.way1", poles=4))["devices.way1.poles"].possible == ("1", "2")


def test_a_three_phase_circuit_has_no_place_on_a_single_phase_supply(changed, problems):
    found = problems(changed("circuits.charger", phases=3))
    assert "the supply has one phase" in found["circuits.charger.phases"].problem


def test_three_phases_cannot_pass_a_device_of_two_poles(changed, problems):
    house = changed("supply", phases=3)
    found = problems(changed("circuits.charger", house, phases=3, cable=None))
    assert "device way1 with poles = 2" in found["circuits.charger.phases"].problem


def test_a_single_phase_circuit_on_line_two_needs_a_three_phase_supply(changed, problems):
    assert "circuits.charger.line" in problems(changed("circuits.charger", line="L2"))
    assert problems(changed("circuits.charger", changed("supply", phases=3), line="L2")) == {}


def test_a_line_is_one_of_three(changed, problems):
    assert "circuits.charger.line" in problems(changed("circuits.charger", line="L4"))


def test_equipment_has_no_more_phases_than_its_circuit(changed, problems):
    assert "equipment.wallbox.phases" in problems(changed("equipment.wallbox", phases=3))


def _cable(house, **facts):
    return dataclasses.replace(house.circuits["charger"].cable, **facts)


def test_a_size_outside_the_table_is_refused_with_the_nearest(house, changed, problems):
    found = problems(changed("circuits.charger", cable=_cable(house, cross_section_mm2=5.5)))
    problem = found["circuits.charger.cable.cross_section_mm2"]
    assert problem.nearest == "6"
    assert problem.possible == ("1", "1.5", "2.5", "4", "6", "10", "16")


def test_a_method_that_the_table_does_not_rate_is_refused(house, changed, problems):
    found = problems(changed("circuits.charger", cable=_cable(house, reference_method="D")))
    assert set(found["circuits.charger.cable.reference_method"].possible) == {"100", "101", "102", "103", "A", "C"}


def test_an_armoured_cable_may_lie_in_the_ground(house, changed, problems):
    armoured = _cable(house, type=CableType.ARMOURED_THERMOPLASTIC_70, reference_method="D")
    assert problems(changed("circuits.charger", cable=armoured)) == {}


def test_flat_cable_carries_one_phase(house, changed, problems):
    supplied = changed("devices.main", changed("supply", phases=3), poles=4)
    supplied = changed("devices.way1", supplied, poles=4)
    found = problems(changed("circuits.charger", supplied, phases=3))
    assert set(found) == {"circuits.charger.cable.type"}


def test_a_rating_of_outlets_belongs_to_a_circuit_with_outlets(changed, problems):
    found = problems(changed("circuits.charger", socket_outlet_rated_current_a=13.0))
    assert set(found) == {"circuits.charger.socket_outlet_rated_current_a"}


def test_a_charger_needs_its_table(changed, problems):
    assert "equipment.wallbox.charger" in problems(changed("equipment.wallbox", charger=None))


def test_only_a_charger_has_the_table_charger(changed, problems):
    found = problems(changed("equipment.wallbox", kind=EquipmentKind.HOB, charger=Charger()))
    assert found["equipment.wallbox.charger"].possible == ("charger",)


@pytest.mark.parametrize(
    "kind", [EquipmentKind.PV_INVERTER, EquipmentKind.BATTERY_INVERTER, EquipmentKind.HYBRID_INVERTER]
)
def test_an_inverter_needs_the_table_source(changed, problems, kind):
    assert "equipment.wallbox.source" in problems(changed("equipment.wallbox", kind=kind, charger=None))


def test_a_charger_that_gives_back_is_a_vehicle_source(changed, problems):
    vehicle = Source(kind=SourceKind.VEHICLE, rated_current_a=16.0)
    assert problems(changed("equipment.wallbox", source=vehicle)) == {}
    solar = Source(kind=SourceKind.PV, rated_current_a=16.0)
    found = problems(changed("equipment.wallbox", source=solar))
    assert found["equipment.wallbox.source.kind"].possible == ("vehicle",)


def test_a_hob_is_no_source(changed, problems):
    source = Source(kind=SourceKind.BATTERY, rated_current_a=16.0)
    found = problems(changed("equipment.wallbox", kind=EquipmentKind.HOB, charger=None, source=source))
    assert "equipment.wallbox.source" in found


@pytest.mark.parametrize(
    "facts", [{"neutral_earth_link": NeutralEarthLink.AUTOMATIC}, {"island_fault_current_a": 32.0}]
)
def test_facts_of_an_island_need_an_island(changed, problems, facts):
    source = Source(kind=SourceKind.VEHICLE, rated_current_a=16.0, **facts)
    assert list(problems(changed("equipment.wallbox", source=source))) == [
        f"equipment.wallbox.source.{next(iter(facts))}"
    ]
    island = dataclasses.replace(source, island=True)
    assert problems(changed("equipment.wallbox", source=island)) == {}


def test_only_inverters_of_panels_have_an_array(changed, problems):
    array = PvArray(
        modules_in_series=8, strings_in_parallel=1, open_circuit_voltage_v=40.0, short_circuit_current_a=13.0
    )
    assert "equipment.wallbox.pv_array" in problems(changed("equipment.wallbox", pv_array=array))


def test_one_string_has_no_string_fuse(changed, problems):
    array = PvArray(
        modules_in_series=8,
        strings_in_parallel=1,
        open_circuit_voltage_v=40.0,
        short_circuit_current_a=13.0,
        string_fuse_rated_current_a=20.0,
    )
    source = Source(kind=SourceKind.PV, rated_current_a=16.0)
    facts = {"kind": EquipmentKind.PV_INVERTER, "charger": None, "source": source, "pv_array": array}
    found = problems(changed("equipment.wallbox", **facts))
    assert list(found) == ["equipment.wallbox.pv_array.string_fuse_rated_current_a"]


def test_only_inverters_of_storage_have_a_battery(changed, problems):
    battery = Battery(location=Location.GARAGE)
    assert "equipment.wallbox.battery" in problems(changed("equipment.wallbox", battery=battery))


def test_how_firmly_a_maker_asks_needs_what_he_asks_for(changed, problems):
    asked = {"maker_rcd_word": MakerWord.REQUIRED}
    assert "equipment.wallbox.maker_rcd_word" in problems(changed("equipment.wallbox", **asked))
    assert problems(changed("equipment.wallbox", maker_rcd_type=RcdType.A, **asked)) == {}


def test_three_poles_let_three_phases_pass(changed, problems):
    house = changed("devices.main", changed("supply", phases=3), poles=4)
    house = changed("devices.way1", house, poles=3)
    assert problems(changed("circuits.charger", house, phases=3, cable=None)) == {}


def test_a_single_phase_circuit_has_a_neutral(changed, problems):
    found = problems(changed("circuits.charger", has_neutral=False))
    assert "not in this format" in found["circuits.charger.has_neutral"].problem


def test_no_neutral_earth_link_is_true_of_a_source_without_an_island(changed, problems):
    source = Source(kind=SourceKind.VEHICLE, rated_current_a=16.0, neutral_earth_link=NeutralEarthLink.NONE)
    assert problems(changed("equipment.wallbox", source=source)) == {}
