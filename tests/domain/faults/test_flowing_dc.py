"""A second person, while a fault elsewhere already sends direct current through a shared device.

Outside values: smooth d.c. tolerated 0, 6 and 10 mA by types AC, A and F (IEC 62873-2); a detector
acts at 6 mA (IEC 62955); a 30 mA type B by 60 mA (IEC 62423).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    heat_pump,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
)
from trainer.domain.faults.walk import FaultWalk, Note, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.physics.responses import Reason, TripVerdict
from trainer.domain.vocabulary import FrontEnd, Stated


def second_contacts(of: Installation, circuit_id: str) -> list[FaultWalk]:
    found = [each for each in fault_walks(of) if each.flowing_from and each.place.circuit == circuit_id]
    assert all(each.kind is WalkKind.CONTACT for each in found)
    return found


def beside(load: object, shared: str = "A", **shared_facts: object) -> Installation:
    """Sockets and one load on two breakers below one residual current device."""
    return house(
        rccb("shared", shared, **shared_facts),
        breaker("m1", fed_by="shared"),
        breaker("m2", fed_by="shared"),
        circuit("sockets", "m1", socket_outlets=True),
        circuit("c", "m2"),
        load,  # type: ignore[arg-type]
    )


def test_the_sockets_beside_a_wrong_type_can_no_longer_rely_on_it():
    (walk,) = second_contacts(beside(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE)), "sockets")
    step = walk.step_of("shared")
    assert walk.flowing_from == ("hp",)
    assert Note.DC_OF_ONE_FAULT in walk.notes
    # 75 mA line leak, 3.07 kilohm; mean of 400 V with a half-wave dip of 325 V: 400 - 325/pi = 296.5 V.
    assert step.standing_dc_ma == pytest.approx(296.5 / 3.0667, rel=0.01)
    assert (step.verdict, step.reason) == (TripVerdict.NOT_REQUIRED, Reason.STANDING_DC)
    assert walk.acts_first is None


def test_type_b_at_the_shared_point_keeps_the_sockets_protected():
    (walk,) = second_contacts(beside(heat_pump("hp", "c", FrontEnd.BRIDGE_POWER_FACTOR_STAGE), "B"), "sockets")
    assert walk.acts_first == "shared"


def test_half_waves_send_no_dc_that_a_type_a_device_need_not_clear():
    assert second_contacts(beside(item("hob", "c", front_end=FrontEnd.BRIDGE_CAPACITOR)), "sockets") == []


def test_a_6_ma_detector_keeps_a_type_a_device_upstream_working():
    (walk,) = second_contacts(beside(charger("car", "c")), "sockets")
    assert walk.step_of("shared").standing_dc_ma == 6.0
    assert walk.acts_first == "shared"


def test_without_detection_the_same_charger_takes_the_sockets_protection():
    silent = charger("car", "c", direct_current_detection=Stated.SILENT)
    (walk,) = second_contacts(beside(silent), "sockets")
    assert walk.acts_first is None


def test_a_6_ma_detector_below_type_ac_is_6_ma_too_much():
    (walk,) = second_contacts(beside(charger("car", "c"), "AC"), "sockets")
    assert walk.step_of("shared").verdict is TripVerdict.NOT_REQUIRED


def test_detectors_add_where_they_share_a_device():
    of = house(
        rccb("shared"),
        *(breaker(f"m{n}", fed_by="shared") for n in range(3)),
        circuit("sockets", "m0", socket_outlets=True),
        circuit("one", "m1"),
        circuit("two", "m2"),
        charger("first", "one"),
        charger("second", "two"),
    )
    *singles, both = second_contacts(of, "sockets")
    assert [each.acts_first for each in singles] == ["shared", "shared"]
    assert both.flowing_from == ("first", "second")
    assert Note.DC_OF_SEVERAL in both.notes
    assert (both.step_of("shared").standing_dc_ma, both.acts_first) == (12.0, None)


@pytest.mark.parametrize(("upper", "acts"), [("AC", False), ("A", False), ("F", False), ("B", True)])
def test_a_type_b_device_may_pass_60_ma_to_what_is_upstream_of_it(upper, acts):
    of = house(
        rccb("incomer", upper, 30.0, fed_by="main"),
        rcbo("way1", "B", fed_by="incomer"),
        breaker("m2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("sockets", "m2", socket_outlets=True),
        heat_pump("hp", "c", FrontEnd.SIX_PULSE_CAPACITOR),
    )
    (walk,) = second_contacts(of, "sockets")
    assert walk.step_of("incomer").standing_dc_ma == 60.0
    assert (walk.acts_first == "incomer") is acts


@pytest.mark.parametrize(("upper", "acts"), [("AC", False), ("A", True)])
def test_half_waves_that_a_type_a_device_need_not_clear_are_too_much_for_type_ac_upstream(upper, acts):
    of = house(
        rccb("incomer", upper, 100.0, fed_by="main"),
        rcbo("way1", "A", fed_by="incomer"),
        breaker("m2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("heater", "m2"),
        item("hob", "c", front_end=FrontEnd.BRIDGE_CAPACITOR),
        item("shower", "heater"),
    )
    found = second_contacts(of, "heater")
    assert all(each.is_cleared for each in found) is acts
    # Half-wave just below 1.4 * 30 mA r.m.s.: its mean is 42 * 2/pi = 26.7 mA.
    standing_ma = [each.step_of("incomer").standing_dc_ma for each in found]
    assert standing_ma == pytest.approx([] if acts else [26.74], abs=0.01)


def test_devices_side_by_side_do_not_disturb_each_other():
    of = house(
        rcbo("way1", "A"),
        rcbo("way2", "A"),
        circuit("c", "way1"),
        circuit("sockets", "way2", socket_outlets=True),
        heat_pump("hp", "c", FrontEnd.SIX_PULSE_CAPACITOR),
    )
    assert second_contacts(of, "sockets") == []


def test_a_delay_upstream_cures_nothing_but_the_way_s_own_device_still_acts():
    of = house(
        selective("incomer"),
        rcbo("way1", "A", fed_by="incomer"),
        rcbo("way2", "A", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("sockets", "way2", socket_outlets=True),
        heat_pump("hp", "c", FrontEnd.SIX_PULSE_CAPACITOR),
    )
    (walk,) = second_contacts(of, "sockets")
    assert walk.step_of("incomer").verdict is TripVerdict.NOT_REQUIRED
    assert walk.acts_first == "way2"


def test_an_inverter_s_own_monitoring_does_not_keep_slow_direct_current_from_flowing():
    # IEC 62109-2: the continuous limit is 300 mA, far above what a type A device tolerates.
    (walk,) = second_contacts(beside(inverter("roof", "c", residual_monitoring=True)), "sockets")
    assert walk.acts_first is None
