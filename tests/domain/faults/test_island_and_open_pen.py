"""Islands and the open PEN conductor.

Outside values: 253 V highest voltage and the voltage of an additional electrode, BS 7671 Annex A722
(single-phase case, from memory); disconnection within 5 s, 722.411.4.1.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, charger, circuit, house, inverter, item, rcbo, selective
from trainer.domain.equipment import ChargerEarthing, NeutralEarthLink, SensesOpenPen, SourceKind
from trainer.domain.faults.path import island_path, mains_path
from trainer.domain.faults.walk import FaultWalk, Mode, Note, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.physics.responses import Function, TripVerdict
from trainer.domain.vocabulary import EarthingSystem, Location


def with_battery(**facts: object) -> Installation:
    given = {"island": True, "neutral_earth_link": NeutralEarthLink.AUTOMATIC, "island_fault_current_a": 25.0}
    return house(
        selective("incomer"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("store", "way2"),
        inverter("battery", "store", SourceKind.BATTERY, **(given | facts)),
    )


def island(of: Installation, kind: WalkKind, circuit_id: str) -> FaultWalk:
    (found,) = (
        each
        for each in fault_walks(of)
        if each.mode is Mode.ISLAND
        and each.kind is kind
        and each.place.circuit == circuit_id
        and each.place.equipment is None
    )
    return found


def test_in_an_island_the_current_returns_through_the_branch_of_the_source():
    of = with_battery()
    assert [each.id for each in mains_path(of, of.circuits["c"]).devices] == ["way1", "incomer"]
    path = island_path(of, of.circuits["c"], of.equipment["battery"])
    assert [each.id for each in path.devices] == ["way1"]
    assert [each.id for each in path.towards_source] == ["way2"]


def test_in_an_island_the_incomer_carries_nothing_and_the_way_s_own_device_acts():
    walk = island(with_battery(), WalkKind.CONTACT, "c")
    assert [step.device for step in walk.steps] == ["way1", "way2"]
    assert (walk.acts_first, walk.source) == ("way1", "battery")


def test_a_device_on_the_branch_of_the_source_cuts_off_the_whole_island():
    of = house(
        breaker("way1"),
        breaker("way3"),
        rcbo("way2"),
        circuit("c", "way1"),
        circuit("d", "way3"),
        circuit("store", "way2"),
        inverter("battery", "store", SourceKind.BATTERY, island=True),
    )
    walk = island(of, WalkKind.CONTACT, "c")
    assert (walk.acts_first, walk.goes_dark, walk.stays_live) == ("way2", ("c", "d"), ("store",))


def test_an_inverter_s_fault_current_moves_no_breaker():
    walk = island(with_battery(), WalkKind.BOLTED, "c")
    assert walk.current.rms_ma == pytest.approx(25_000)
    overcurrent = [step for step in walk.steps if step.function is Function.OVERCURRENT]
    assert [step.verdict for step in overcurrent] == [TripVerdict.MUST_NOT, TripVerdict.MUST_NOT]
    assert (walk.acts_first, walk.within_time) == ("way1", True)
    assert Note.SOURCE_LIMITS_CURRENT in walk.notes


def test_an_island_without_a_neutral_earth_link_gives_residual_current_no_way_back():
    of = with_battery(neutral_earth_link=NeutralEarthLink.NONE)
    walk = island(of, WalkKind.RESISTIVE, "c")
    assert walk.current.rms_ma == 0.0
    assert walk.acts_first is None
    assert Note.NO_RETURN_PATH in walk.notes


def test_a_source_that_stops_with_the_network_makes_no_island():
    assert not [each for each in fault_walks(with_battery(island=False)) if each.mode is Mode.ISLAND]


def open_pen(of: Installation) -> list[FaultWalk]:
    return [each for each in fault_walks(of) if each.mode is Mode.OPEN_PEN]


def outdoors(*records: object, **facts: object) -> Installation:
    return house(rcbo("way1"), circuit("c", "way1"), *records, **facts)  # type: ignore[arg-type]


def test_no_residual_current_device_sees_an_open_pen_conductor():
    (walk,) = open_pen(outdoors(charger("car", "c")))
    assert walk.touch_voltage_v == pytest.approx(253.0)
    assert [(step.device, step.verdict) for step in walk.steps] == [("way1", TripVerdict.MUST_NOT)]
    assert walk.acts_first is None


def test_a_charger_that_senses_it_opens_within_its_time():
    sensing = charger("car", "c", open_pen=SensesOpenPen.VOLTAGE, open_pen_disconnects_within_s=5.0)
    (walk,) = open_pen(outdoors(sensing))
    assert (walk.acts_first, walk.break_time_max_ms) == ("equipment.car.open_pen", 5000.0)
    assert walk.goes_dark == ("c",)
    assert Note.PEN_DETECTION_OPENS in walk.notes


def test_an_additional_electrode_pulls_the_voltage_down():
    # 32 A at 230 V: RA 2.75 ohm leaves 70 V (16 100 / (183 * 32) = 2.75, the single-phase case).
    electrode = charger("car", "c", earthing=ChargerEarthing.ADDITIONAL_ELECTRODE, electrode_resistance_ohm=2.7493)
    (walk,) = open_pen(outdoors(electrode, stated_maximum_demand_a=32.0))
    assert walk.touch_voltage_v == pytest.approx(70.0, abs=0.02)


def test_a_charger_on_its_own_electrode_is_out_of_reach_of_the_pen_conductor():
    own = charger("car", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE, electrode_resistance_ohm=100.0)
    assert open_pen(outdoors(own)) == []


def test_equipment_outdoors_is_touched_too_and_equipment_indoors_is_not_walked():
    assert len(open_pen(outdoors(item("pump", "c", location=Location.OUTDOORS)))) == 1
    assert open_pen(outdoors(item("hob", "c"))) == []


def test_a_supply_without_a_pen_conductor_has_none_to_lose():
    assert open_pen(outdoors(charger("car", "c"), system=EarthingSystem.TN_S)) == []
