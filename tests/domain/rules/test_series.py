"""Residual current devices in series, and the d.c. that adds up at a shared one.

Outside values: smooth d.c. tolerated by type A 6 mA, by type F 10 mA (BS 7671 531.3.3 notes, seen
in a public text); a type B trips by twice its rating, 60 mA for 30 mA (IEC 62423, from memory, 60 mA
seen in a public text); detectors act at 6 mA (IEC 62955, seen in a public text); ratio of three for
selectivity (BS 7671 536.4.1.4, from memory). That the order of types is refused: DGUV 203-006.
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
    verdicts,
)
from trainer.domain.equipment import BuiltInResidualDevice, ChargerEarthing, Equipment
from trainer.domain.findings import Verdict
from trainer.domain.rules.series import (
    smooth_dc_through_the_device_upstream,
)
from trainer.domain.vocabulary import (
    FrontEnd,
    MakerWord,
    Outcome,
    RcdType,
    ResidualDelay,
    Stated,
)

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def below(upper: str | None, lower: str | None, load: object = None, rating_ma: float | None = 30.0) -> Verdict:
    """The verdict on the device of way 1 below an S type, with one load on its circuit."""
    incomer = selective("incomer", upper or "A")
    if upper is None:
        incomer = rccb("incomer", None, 100.0, fed_by="main", residual_delay=ResidualDelay.S)
    own = rcbo("way1", lower, rating_ma, fed_by="incomer")
    loads = (load,) if load is not None else (item("load", "c"),)
    of = house(incomer, own, circuit("c", "way1"), *loads)  # type: ignore[arg-type]
    return verdicts(smooth_dc_through_the_device_upstream, of)["way1"]


@pytest.mark.parametrize(("upper", "tolerance_ma"), [("AC", 0.0), ("A", 6.0), ("F", 10.0)])
def test_a_type_b_below_any_lower_type_may_let_60_ma_pass(upper: str, tolerance_ma: float) -> None:
    verdict = below(upper, "B")
    assert (verdict.outcome, verdict.case) == (FAILS, "smooth_dc_passes")
    assert (verdict.value, verdict.limit, verdict.related) == (60.0, tolerance_ma, ("devices.incomer",))


def test_a_type_b_below_a_type_b_complies() -> None:
    verdict = below("B", "B")
    assert (verdict.outcome, verdict.case) == (COMPLIES, "detects_smooth_dc")


def test_the_smooth_dc_that_may_pass_follows_the_rating_of_the_type_b() -> None:
    assert below("A", "B", rating_ma=3.0).outcome is COMPLIES  # 2 x 3 mA = 6 mA on 6 mA
    assert below("A", "B", rating_ma=5.0).outcome is FAILS  # 10 mA on 6 mA
    assert below("F", "B", rating_ma=5.0).outcome is COMPLIES  # 10 mA on 10 mA
    assert below("A", "B", rating_ma=None).missing == ("devices.way1.rated_residual_operating_current_ma",)


def test_a_detector_of_6_ma_below_a_type_a_is_just_tolerated() -> None:
    verdict = below("A", "A", charger("ev", "c"))
    assert (verdict.outcome, verdict.value, verdict.limit) == (COMPLIES, 6.0, 6.0)


def test_a_detector_with_a_coarser_threshold_is_not_tolerated() -> None:
    assert below("A", "A", charger("ev", "c", direct_current_detection_ma=8.0)).outcome is FAILS
    assert below("F", "A", charger("ev", "c", direct_current_detection_ma=8.0)).outcome is COMPLIES


@pytest.mark.parametrize("detection", [Stated.NO, Stated.SILENT])
def test_nothing_limits_the_dc_of_a_charger_whose_sheet_names_no_detection(detection: Stated) -> None:
    verdict = below("A", "A", charger("ev", "c", direct_current_detection=detection))
    assert (verdict.outcome, verdict.case, verdict.value) == (FAILS, "nothing_limits", None)


def test_a_charger_of_unknown_detection_leaves_it_open() -> None:
    verdict = below("A", "A", charger("ev", "c", direct_current_detection=None))
    assert verdict.missing == ("equipment.ev.charger.direct_current_detection",)


def test_a_charger_behind_electrical_separation_sends_no_dc() -> None:
    separated = {"direct_current_detection": Stated.NO, "earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    assert below("A", "A", charger("ev", "c", **separated)).outcome is COMPLIES


def test_detection_in_the_board_limits_what_passes_upstream() -> None:
    own = rcbo("way1", "A", fed_by="incomer", direct_current_detection_ma=6.0)
    ev = charger("ev", "c", direct_current_detection=Stated.NO)
    of = house(selective("incomer", "A"), own, circuit("c", "way1"), ev)
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.value) == (COMPLIES, 6.0)


def test_a_load_that_needs_type_b_blames_the_device_upstream_even_where_its_own_is_wrong() -> None:
    verdict = below("A", "A", heat_pump("pump", "c", FrontEnd.SIX_PULSE_CAPACITOR))
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "nothing_limits", ("devices.incomer",))


def test_the_makers_word_settles_what_a_load_may_send() -> None:
    pump = heat_pump("pump", "c", maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.REQUIRED)
    assert below("A", "A", pump).outcome is COMPLIES


def test_a_plugged_in_load_blames_nobody_upstream() -> None:
    load = item("computers", "c", plug_in=True, front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE)
    assert below("A", "A", load).outcome is COMPLIES


def test_a_load_of_unknown_front_end_leaves_it_open() -> None:
    assert below("A", "A", item("load", "c", front_end=None)).missing == ("equipment.load.front_end",)
    assert below("A", "A", inverter("pv", "c", galvanic_separation=None)).missing == (
        "equipment.pv.galvanic_separation",
    )


@pytest.mark.parametrize(
    ("front_end", "expected"),
    [(FrontEnd.RESISTIVE, COMPLIES), (FrontEnd.BRIDGE_CAPACITOR, FAILS), (FrontEnd.CONVERTER_SINGLE_PHASE, FAILS)],
)
def test_type_ac_stands_only_above_loads_without_dc(front_end: FrontEnd, expected: Outcome) -> None:
    assert below("AC", "A", item("load", "c", front_end=front_end)).outcome is expected


def test_type_ac_above_socket_outlets_fails() -> None:
    of = house(selective("incomer", "AC"), rcbo("way1", fed_by="incomer"), circuit("c", "way1", socket_outlets=True))
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAILS, "type_ac_above_dc", "A")


def test_type_ac_above_a_circuit_that_nobody_described_fails() -> None:
    of = house(selective("incomer", "AC"), rcbo("way1", fed_by="incomer"), circuit("c", "way1"))
    assert verdicts(smooth_dc_through_the_device_upstream, of)["way1"].case == "type_ac_above_dc"


def test_type_ac_above_a_detecting_charger_fails() -> None:
    assert below("AC", "A", charger("ev", "c")).outcome is FAILS


def test_type_a_above_type_f_is_advised_against() -> None:
    verdict = below("A", "F", item("drive", "c", front_end=FrontEnd.CONVERTER_SINGLE_PHASE))
    assert (verdict.outcome, verdict.case, verdict.limit) == (ADVICE, "type_a_above_f", "F")
    assert below("F", "F").outcome is COMPLIES


def test_a_delay_does_not_change_what_the_core_tolerates() -> None:
    own = rcbo("way1", "B", fed_by="shared")
    for delay in ResidualDelay:
        of = house(rccb("shared", "A", 100.0, residual_delay=delay), own, circuit("c", "way1"), item("load", "c"))
        assert verdicts(smooth_dc_through_the_device_upstream, of)["way1"].outcome is FAILS


def test_an_upstream_device_of_unknown_type_cannot_be_judged() -> None:
    assert below(None, "A").missing == ("devices.incomer.rcd_type",)


def test_a_type_b_between_two_others_is_the_one_that_is_judged_against_the_upper() -> None:
    of = house(
        selective("incomer", "A", 300.0),
        rccb("middle", "B", 100.0, fed_by="incomer"),
        rcbo("way1", "A", fed_by="middle"),
        circuit("c", "way1"),
        heat_pump("pump", "c"),
    )
    found = verdicts(smooth_dc_through_the_device_upstream, of)
    assert (found["middle"].outcome, found["middle"].value) == (FAILS, 200.0)
    assert found["way1"].outcome is COMPLIES


def test_every_device_upstream_is_looked_at() -> None:
    of = house(
        selective("incomer", "A", 300.0),
        rccb("middle", "F", 100.0, fed_by="incomer"),
        rcbo("way1", "A", fed_by="middle"),
        circuit("c", "way1"),
        charger("ev", "c", direct_current_detection_ma=8.0),
    )
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.value, verdict.related) == (FAILS, 8.0, ("devices.incomer",))


def test_a_device_alone_on_its_path_has_no_series_to_judge() -> None:
    of = house(rcbo("way1"), breaker("way2"), circuit("c", "way1"), circuit("d", "way2"), item("load", "c"))
    assert verdicts(smooth_dc_through_the_device_upstream, of) == {}


def built_in(rcd_type: str, upper: str | None, **facts: object) -> Verdict:
    own = BuiltInResidualDevice(
        standard="BS EN 62423", rcd_type=RcdType(rcd_type), rated_residual_operating_current_ma=30.0
    )
    of = house(rccb("shared", upper), circuit("c", "shared"), charger("ev", "c", built_in_rcd=own, **facts))
    return verdicts(smooth_dc_through_the_device_upstream, of)["shared"]


def test_a_type_b_inside_a_charger_counts_like_one_in_the_board() -> None:
    verdict = built_in("B", "A", direct_current_detection=Stated.NO)
    assert (verdict.outcome, verdict.value, verdict.related) == (FAILS, 60.0, ("equipment.ev",))
    assert built_in("B", "B", direct_current_detection=Stated.NO).outcome is COMPLIES


def test_a_type_a_with_detection_inside_a_charger_is_tolerated_by_type_a() -> None:
    verdict = built_in("A", "A")
    assert (verdict.outcome, verdict.value, verdict.limit) == (COMPLIES, 6.0, 6.0)
    assert built_in("A", "AC").outcome is FAILS
    assert built_in("A", None).outcome is OPEN


def test_a_device_that_passes_with_what_is_inside_a_charger_is_still_judged_with_the_one_upstream() -> None:
    own = BuiltInResidualDevice(standard="BS EN 62423", rcd_type=RcdType.B, rated_residual_operating_current_ma=30.0)
    ev = charger("ev", "c", built_in_rcd=own, direct_current_detection=Stated.NO)
    of = house(selective("incomer", "A"), rcbo("way1", "B", fed_by="incomer"), circuit("c", "way1"), ev)
    assert verdicts(smooth_dc_through_the_device_upstream, of)["way1"].outcome is FAILS


def test_what_sends_no_smooth_dc_is_shown_as_nothing() -> None:
    separated = {"direct_current_detection": Stated.NO, "earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    assert below("A", "A", charger("ev", "c", **separated)).value == 0
    plugged = item("computers", "c", plug_in=True, front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE)
    assert below("A", "A", plugged).value == 0
    assert below("A", "A", item("load", "c")).value == 0


@pytest.mark.parametrize("load", [charger("ev", "d"), item("kettle", "d", plug_in=True)], ids=["charger", "plugged_in"])
def test_type_ac_above_any_load_that_may_send_dc_fails(load: Equipment) -> None:
    separated = {"direct_current_detection": Stated.NO, "earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    quiet = charger("ev", "d", **separated) if load.charger is not None else load
    of = house(selective("incomer", "AC"), rcbo("way1", fed_by="incomer"), circuit("d", "way1"), quiet)
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.case) == (FAILS, "type_ac_above_dc")


def test_a_plain_unit_beside_one_with_a_device_inside_does_not_hide_it() -> None:
    own = BuiltInResidualDevice(standard="BS EN 62423", rcd_type=RcdType.B, rated_residual_operating_current_ma=30.0)
    inside = charger("ev", "d", built_in_rcd=own, direct_current_detection=Stated.NO)
    good = BuiltInResidualDevice(standard="BS EN 61008", rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0)
    of = house(
        rccb("shared"),
        circuit("b", "shared"),
        circuit("c", "shared"),
        circuit("d", "shared"),
        item("plain", "b"),
        charger("tolerated", "c", built_in_rcd=good),
        inside,
    )
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["shared"]
    assert (verdict.outcome, verdict.value, verdict.related) == (FAILS, 60.0, ("equipment.ev",))


def test_a_plain_unit_before_it_on_its_circuit_does_not_hide_one_with_a_device_inside() -> None:
    own = BuiltInResidualDevice(standard="BS EN 62423", rcd_type=RcdType.B, rated_residual_operating_current_ma=30.0)
    inside = charger("ev", "c", built_in_rcd=own, direct_current_detection=Stated.NO)
    of = house(rccb("shared"), circuit("c", "shared"), item("plain", "c"), inside)
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["shared"]
    assert (verdict.outcome, verdict.value, verdict.related) == (FAILS, 60.0, ("equipment.ev",))


def test_devices_without_residual_current_between_two_others_are_passed_over() -> None:
    of = house(
        selective("incomer", "A"),
        breaker("middle", fed_by="incomer"),
        rcbo("way1", "B", fed_by="middle"),
        circuit("c", "way1"),
        item("load", "c"),
    )
    assert verdicts(smooth_dc_through_the_device_upstream, of)["way1"].outcome is FAILS


def test_a_type_a_inside_a_charger_without_detection_limits_nothing() -> None:
    verdict = built_in("A", "A", direct_current_detection=Stated.NO)
    assert (verdict.outcome, verdict.case) == (FAILS, "nothing_limits")


def test_a_device_inside_equipment_free_of_dc_lets_nothing_pass() -> None:
    own = BuiltInResidualDevice(standard="BS EN 61008", rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0)
    of = house(rccb("shared"), circuit("c", "shared"), item("load", "c", built_in_rcd=own))
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["shared"]
    assert (verdict.outcome, verdict.value) == (COMPLIES, 0)


def test_a_way_without_equipment_lets_nothing_pass() -> None:
    of = house(selective("incomer", "A"), rcbo("way1", fed_by="incomer"), circuit("c", "way1"))
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.value) == (COMPLIES, 0)


def test_a_type_b_upstream_does_not_make_good_what_a_device_inside_lets_pass_below_it() -> None:
    own = BuiltInResidualDevice(standard="BS EN 62423", rcd_type=RcdType.B, rated_residual_operating_current_ma=30.0)
    ev = charger("ev", "c", built_in_rcd=own, direct_current_detection=Stated.NO)
    of = house(selective("incomer", "B"), rcbo("way1", "A", fed_by="incomer"), circuit("c", "way1"), ev)
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.value, verdict.related) == (FAILS, 60.0, ("equipment.ev",))


def test_a_better_type_further_up_does_not_make_good_a_type_ac_between() -> None:
    of = house(
        selective("incomer", "A", 300.0),
        rccb("middle", "AC", 100.0, fed_by="incomer"),
        rcbo("way1", fed_by="middle"),
        circuit("c", "way1", socket_outlets=True),
    )
    verdict = verdicts(smooth_dc_through_the_device_upstream, of)["way1"]
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "type_ac_above_dc", ("devices.middle",))
