"""Faults walked through small houses: who must act, in what time, what goes dark.

Outside values: 230 V; smooth d.c. of IEC 62873-2; break times of IEC 61008-1 and IEC 62955; steps of
IEC 62109-2; disconnection times of BS 7671 Table 41.1 (0.4 s TN, 0.2 s TT).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    cable,
    charger,
    circuit,
    everyday_supply,
    heat_pump,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
)
from trainer.domain.equipment import BuiltInResidualDevice, ChargerEarthing
from trainer.domain.faults.walk import FaultWalk, Mode, Note, WalkKind
from trainer.domain.faults.walks import fault_walks, walks_of_equipment, walks_through
from trainer.domain.installation import Installation
from trainer.domain.physics.front_ends import FaultPoint
from trainer.domain.physics.responses import Function, Reason, TripVerdict
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import EarthingSystem, FrontEnd, MakerWord, RcdType

POSITIVE, LINE = FaultPoint.DC_POSITIVE, FaultPoint.LINE


def walk(of: Installation, kind: WalkKind, **wanted: object) -> FaultWalk:
    """The one walk of a kind whose place, mode and source are as wanted."""
    given = {"mode": Mode.MAINS, "point": LINE, "equipment": None, "flowing_from": ()} | wanted

    def facts(each: FaultWalk) -> dict[str, object]:
        place = each.place
        own = {"circuit": place.circuit, "equipment": place.equipment, "point": place.point}
        return own | {"mode": each.mode, "flowing_from": each.flowing_from, "source": each.source}

    (found,) = (each for each in fault_walks(of) if each.kind is kind and facts(each) | given == facts(each))
    return found


def one_circuit(*records: object, rcd: str = "A", **facts: object) -> Installation:
    return house(rcbo("way1", rcd), circuit("c", "way1"), *records, **facts)  # type: ignore[arg-type]


def test_a_person_on_a_line_is_protected_by_any_type():
    for rcd_type in ("AC", "A", "F", "B"):
        contact = walk(one_circuit(item("load", "c"), rcd=rcd_type), WalkKind.CONTACT, circuit="c")
        # 230 V over 1 kilohm: 230 mA, just short of the 250 mA of the 40 ms step.
        assert contact.current.rms_ma == pytest.approx(230.0)
        assert (contact.acts_first, contact.break_time_max_ms) == ("way1", 150.0)
        assert contact.touch_voltage_v == pytest.approx(230.0)


def test_type_a_is_not_required_to_act_on_a_fault_behind_a_power_factor_stage():
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE))
    leak = walk(of, WalkKind.RESISTIVE, equipment="hp", point=POSITIVE)
    assert leak.steps[0].verdict is TripVerdict.NOT_REQUIRED
    assert leak.acts_first is None
    assert leak.goes_dark == ()
    assert leak.stays_live == ("c",)
    assert leak.current.minimum_ma > 0


def test_type_b_must_act_where_type_a_is_not_required_to():
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE), rcd="B")
    leak = walk(of, WalkKind.RESISTIVE, equipment="hp", point=POSITIVE)
    assert (leak.acts_first, leak.goes_dark) == ("way1", ("c",))


def test_a_wrong_type_rarely_costs_the_fault_protection():
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE))
    bolted = walk(of, WalkKind.BOLTED, equipment="hp", point=POSITIVE)
    assert bolted.within_time
    assert Note.CONVERTER_MAY_LIMIT in bolted.notes


def test_a_link_voltage_collapses_in_a_bolted_fault_and_leaves_a_half_wave():
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE))
    line = walk(of, WalkKind.BOLTED, equipment="hp")
    pole = walk(of, WalkKind.BOLTED, equipment="hp", point=POSITIVE)
    # A half-wave has 1/sqrt(2) of the r.m.s. value of its sinusoid, and its peak.
    assert pole.current.rms_ma == pytest.approx(line.current.rms_ma / 2**0.5, rel=1e-3)
    assert pole.current.peak_ma == pytest.approx(line.current.peak_ma, rel=1e-3)
    assert pole.step_of("way1").verdict is TripVerdict.MUST


def test_a_bolted_fault_flows_through_the_loop_of_its_circuit():
    # 20 m of 2.5/1.5 mm2 at 70 C: 20 m * 19.51 mohm/m * 1.2 = 0.468 ohm; with Ze 0.35 ohm: 0.818 ohm.
    # 218.5 V / 0.818 ohm = 267 A; R2 is 20 m * 12.1 mohm/m * 1.2 = 0.290 ohm: 77.6 V.
    bolted = walk(one_circuit(item("load", "c")), WalkKind.BOLTED, circuit="c")
    assert bolted.current.rms_ma == pytest.approx(267_000, rel=0.005)
    assert bolted.touch_voltage_v == pytest.approx(77.6, rel=0.01)
    assert bolted.time_limit_ms == 400.0
    assert bolted.within_time


def test_without_a_residual_current_device_the_breaker_acts_in_time_where_the_impedance_allows():
    near = house(breaker("way1"), circuit("c", "way1"))
    far = house(breaker("way1"), circuit("c", "way1", cable=cable(length_m=80.0)))
    # 80 m: 0.35 + 4 * 0.468 = 2.22 ohm, above the 1.37 ohm of B32.
    assert walk(near, WalkKind.BOLTED, circuit="c").acts_first == "way1"
    late = walk(far, WalkKind.BOLTED, circuit="c")
    assert (late.acts_first, late.within_time) == (None, False)
    assert Note.NO_RESIDUAL_DEVICE in late.notes


def test_an_unknown_cable_leaves_the_bolted_fault_to_the_residual_current_device():
    bolted = walk(house(rcbo("way1"), circuit("c", "way1", cable=None)), WalkKind.BOLTED, circuit="c")
    assert Note.IMPEDANCE_UNKNOWN in bolted.notes
    assert bolted.touch_voltage_v is None
    assert all(step.function is Function.RESIDUAL for step in bolted.steps)


def test_in_tt_the_residual_current_device_clears_the_bolted_fault_in_0_2_s():
    of = house(
        rcbo("way1"),
        circuit("c", "way1"),
        system=EarthingSystem.TT,
        earthing=Earthing(electrode_resistance_ohm=100.0),
    )
    bolted = walk(of, WalkKind.BOLTED, circuit="c")
    # 218.5 V over 100 + 20 + 0.18 ohm: 1.82 A, of which the electrode keeps 182 V.
    assert bolted.current.rms_ma == pytest.approx(1820, rel=0.01)
    assert bolted.touch_voltage_v == pytest.approx(182, rel=0.01)
    assert (bolted.time_limit_ms, bolted.acts_first, bolted.within_time) == (200.0, "way1", True)


def test_of_two_devices_in_series_without_delay_either_may_open():
    of = house(
        rccb("incomer", rating_ma=100.0, fed_by="main"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("d", "way2"),
    )
    contact = walk(of, WalkKind.CONTACT, circuit="c")
    assert contact.acts_first == "way1"
    assert (contact.goes_dark, contact.may_go_dark) == (("c",), ("d",))


def test_an_s_type_upstream_leaves_the_neighbours_alone():
    of = house(
        selective("incomer"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("d", "way2"),
    )
    bolted = walk(of, WalkKind.BOLTED, circuit="c")
    assert (bolted.acts_first, bolted.may_go_dark, bolted.stays_live) == ("way1", (), ("d",))


@pytest.mark.parametrize(("upper_ma", "neighbours"), [(100.0, ()), (60.0, ("d",))])
def test_type_s_and_three_times_the_rating_count_as_selective_and_less_does_not(upper_ma, neighbours):
    # BS 7671 536.4.1.4, the ratio from memory.
    of = house(
        selective("incomer", rating_ma=upper_ma),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("d", "way2"),
    )
    assert walk(of, WalkKind.CONTACT, circuit="c").may_go_dark == neighbours


def test_every_device_above_the_fault_sees_the_same_current_and_its_own_leakage():
    of = house(
        selective("incomer"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("d", "way2"),
        item("load", "c", protective_conductor_current_ma=3.0, standing_dc_ma=2.0),
        item("other", "d", protective_conductor_current_ma=4.0, standing_dc_ma=1.0),
    )
    contact = walk(of, WalkKind.CONTACT, circuit="c")
    near, far = contact.steps
    assert (near.residual_current_ma, near.standing_dc_ma) == (pytest.approx(233.0), 2.0)
    assert (far.residual_current_ma, far.standing_dc_ma) == (pytest.approx(237.0), 3.0)


def test_the_own_standing_dc_of_equipment_is_part_of_a_fault_behind_it_and_adds_to_one_before_it():
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_CAPACITOR, standing_dc_ma=8.0))
    assert walk(of, WalkKind.RESISTIVE, equipment="hp").steps[0].standing_dc_ma == 8.0
    assert walk(of, WalkKind.RESISTIVE, equipment="hp", point=POSITIVE).steps[0].standing_dc_ma == 0.0


def test_standing_dc_of_several_loads_adds_at_the_shared_device():
    of = house(
        rccb("shared"),
        breaker("m1", fed_by="shared"),
        breaker("m2", fed_by="shared"),
        circuit("c", "m1"),
        circuit("d", "m2"),
        item("one", "c", standing_dc_ma=4.0),
        item("two", "d", standing_dc_ma=4.0),
    )
    step = walk(of, WalkKind.CONTACT, circuit="c").steps[0]
    assert (step.standing_dc_ma, step.verdict, step.reason) == (8.0, TripVerdict.NOT_REQUIRED, Reason.STANDING_DC)


def test_a_charger_s_detector_clears_what_type_a_is_not_required_to_see():
    of = one_circuit(charger("car", "c"))
    leak = walk(of, WalkKind.RESISTIVE, equipment="car", point=POSITIVE)
    assert leak.acts_first == "equipment.car.direct_current_detection"
    assert leak.step_of("way1").verdict is TripVerdict.NOT_REQUIRED
    # 75 mA line leak: 3.07 kilohm; the dip of 75 V leaves 24.4 mA that never ceases: the 10 s step.
    assert leak.break_time_max_ms == 10_000.0
    assert leak.stays_live == ("c",)


def test_a_built_in_device_of_type_b_acts_inside_the_equipment():
    own = BuiltInResidualDevice(standard="BS EN 62423", rcd_type=RcdType.B, rated_residual_operating_current_ma=30.0)
    of = one_circuit(heat_pump("hp", "c", FrontEnd.SIX_PULSE_CAPACITOR, built_in_rcd=own))
    leak = walk(of, WalkKind.RESISTIVE, equipment="hp", point=POSITIVE)
    assert leak.acts_first == "equipment.hp.built_in_rcd"


def test_separation_leaves_no_residual_current_to_see():
    of = one_circuit(inverter("roof", "c", galvanic_separation=True))
    leak = walk(of, WalkKind.RESISTIVE, equipment="roof", point=POSITIVE)
    assert leak.current.rms_ma == 0.0
    assert leak.steps[0].verdict is TripVerdict.MUST_NOT
    assert {Note.NO_RESIDUAL_CURRENT, Note.GALVANIC_SEPARATION} <= set(leak.notes)


def test_a_charger_behind_electrical_separation_sends_nothing_through_the_devices():
    of = one_circuit(charger("car", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION, electrode_resistance_ohm=10.0))
    assert walk(of, WalkKind.RESISTIVE, equipment="car", point=POSITIVE).current.rms_ma == 0.0


def test_an_inverter_s_monitoring_acts_on_a_sudden_fault_of_its_direct_current_side():
    of = one_circuit(inverter("roof", "c", residual_monitoring=True))
    bolted = walk(of, WalkKind.BOLTED, equipment="roof", point=POSITIVE)
    assert (bolted.acts_first, bolted.break_time_max_ms) == ("equipment.roof.residual_monitoring", 40.0)
    assert bolted.time_limit_ms is None
    assert {Note.NO_TIME_APPLIES, Note.SOURCE_LIMITS_CURRENT} <= set(bolted.notes)
    slow = walk(of, WalkKind.RESISTIVE, equipment="roof", point=POSITIVE)
    assert slow.steps[0].verdict is TripVerdict.MAY


def test_a_source_below_the_device_that_opens_keeps_feeding_for_a_while():
    contact = walk(one_circuit(inverter("roof", "c")), WalkKind.CONTACT, circuit="c")
    assert Note.SOURCE_KEEPS_FEEDING in contact.notes


def test_the_maker_s_word_and_the_plug_stand_beside_the_figures():
    stated = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}
    of = one_circuit(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE, **stated))
    assert Note.MAKER_STATES_TYPE in walk(of, WalkKind.RESISTIVE, equipment="hp", point=POSITIVE).notes
    plugged = one_circuit(item("pc", "c", front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE, plug_in=True))
    assert Note.PLUG_IN_LOAD in walk(plugged, WalkKind.RESISTIVE, equipment="pc", point=POSITIVE).notes


def test_equipment_of_unknown_front_end_is_taken_for_ordinary_electronics_and_says_so():
    of = one_circuit(heat_pump("hp", "c", None))
    found = [each for each in fault_walks(of) if each.place.equipment == "hp"]
    assert {each.place.front_end for each in found} == {FrontEnd.BRIDGE_CAPACITOR}
    assert all(Note.FRONT_END_UNKNOWN in each.notes and each.place.assumed for each in found)


def test_a_charger_of_unknown_front_end_is_taken_for_a_power_factor_stage():
    of = one_circuit(charger("car", "c", front_end=None, direct_current_detection=None))
    assert walk(of, WalkKind.RESISTIVE, equipment="car", point=POSITIVE).acts_first is None


def test_a_socket_circuit_may_hold_a_rectifier_and_type_ac_is_not_required_to_see_it():
    of = house(rcbo("way1", "AC"), circuit("c", "way1", socket_outlets=True))
    leak = walk(of, WalkKind.RESISTIVE, circuit="c", point=POSITIVE)
    assert Note.ASSUMED_LOAD in leak.notes
    assert leak.acts_first is None
    fixed = one_circuit(item("shower", "c"), rcd="AC")
    assert all(each.is_cleared for each in fault_walks(fixed))


def test_a_device_of_unknown_type_is_not_counted_on():
    step = walk(one_circuit(rcd=None), WalkKind.CONTACT, circuit="c").steps[0]  # type: ignore[arg-type]
    assert (step.verdict, step.reason) == (TripVerdict.NOT_REQUIRED, Reason.DEVICE_UNKNOWN)


def test_each_fault_point_of_each_front_end_is_walked_bolted_and_resistive():
    of = one_circuit(item("drive", "c", front_end=FrontEnd.CONVERTER_SINGLE_PHASE))
    found = {(each.kind, each.place.point) for each in walks_of_equipment(of, "drive") if each.place.equipment}
    points = (LINE, POSITIVE, FaultPoint.DC_NEGATIVE, FaultPoint.DC_MIDDLE, FaultPoint.INVERTER_OUTPUT)
    assert found == {(kind, point) for kind in (WalkKind.BOLTED, WalkKind.RESISTIVE) for point in points}


def test_walks_through_a_device_are_those_with_a_step_of_it():
    of = house(rcbo("way1"), rcbo("way2"), circuit("c", "way1"), circuit("d", "way2"))
    assert {each.place.circuit for each in walks_through(of, "way1")} == {"c"}
    assert walks_through(of, "main_switch") == ()


def test_a_contact_is_walked_on_final_circuits_only():
    of = house(
        breaker("feeder"),
        circuit("to_shed", "feeder"),
        rcbo("way1", board="shed", fed_by="shed"),
        circuit("c", "way1"),
        supply=everyday_supply(),
    )
    shed = of.boards["main"].__class__(id="shed", fed_by="to_shed")
    with_shed = Installation(
        title=of.title,
        premises=of.premises,
        supply=of.supply,
        earthing=of.earthing,
        boards={**of.boards, "shed": shed},
        devices=of.devices,
        circuits=of.circuits,
        equipment=of.equipment,
    )
    contacts = {each.place.circuit for each in fault_walks(with_shed) if each.kind is WalkKind.CONTACT}
    assert contacts == {"c"}
    bolted = walk(with_shed, WalkKind.BOLTED, circuit="to_shed")
    assert bolted.goes_dark == ("to_shed", "c")
