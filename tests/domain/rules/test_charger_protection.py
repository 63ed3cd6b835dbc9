"""The residual current device of a charging point, and its poles.

Outside values: 30 mA, type B or type A/F with 6 mA detection (BS 7671 722.531.3.101, from memory; that
type AC is refused seen in a public text), 6 mA (IEC 62955, seen in a public text), the listed product
standards (seen in a public text).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    circuit,
    rcbo,
)
from tests.domain.rules.chargers import on, result
from trainer.domain.equipment import BuiltInResidualDevice, ChargerEarthing
from trainer.domain.findings import Finding
from trainer.domain.rules.charger import (
    chargers_device_opens_all_live_conductors,
    residual_protection_of_the_charger,
)
from trainer.domain.vocabulary import Consequence, Outcome, RcdType, Stated

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


NO_DETECTION = {"direct_current_detection": Stated.NO}


def protected(way: object, **facts: object) -> tuple[Outcome, str]:
    return result(residual_protection_of_the_charger, way, **facts)


@pytest.mark.parametrize(
    ("rcd_type", "detection", "expected", "case"),
    [
        ("B", Stated.NO, COMPLIES, "type_b"),
        ("B", Stated.YES, COMPLIES, "type_b"),
        ("A", Stated.YES, COMPLIES, "detection_in_the_unit"),
        ("F", Stated.YES, COMPLIES, "detection_in_the_unit"),
        ("A", Stated.NO, FAILS, "no_detection"),
        ("F", Stated.NO, FAILS, "no_detection"),
        ("A", Stated.SILENT, FAILS, "sheet_silent"),
        ("AC", Stated.YES, FAILS, "type_ac"),
    ],
)
def test_a_charger_has_type_b_or_type_a_or_f_with_detection(
    rcd_type: str, detection: Stated, expected: Outcome, case: str
) -> None:
    assert protected(rcbo("way1", rcd_type), direct_current_detection=detection) == (expected, case)


def test_a_failing_verdict_names_the_device_and_the_type() -> None:
    verdict = on(residual_protection_of_the_charger, rcbo("way1", "A"), **NO_DETECTION)
    assert verdict is not None
    assert (verdict.value, verdict.limit, verdict.related) == ("A", "B", ("devices.way1",))


@pytest.mark.parametrize(("rating_ma", "expected"), [(30.0, COMPLIES), (30.1, FAILS), (100.0, FAILS)])
def test_the_device_of_a_charger_is_rated_30_ma(rating_ma: float, expected: Outcome) -> None:
    assert protected(rcbo("way1", "B", rating_ma))[0] is expected
    assert protected(rcbo("way1", "A", rating_ma))[0] is expected


@pytest.mark.parametrize(("threshold_ma", "expected"), [(6.0, COMPLIES), (6.1, FAILS), (None, COMPLIES)])
def test_detection_acts_at_6_ma(threshold_ma: float | None, expected: Outcome) -> None:
    assert protected(rcbo("way1"), direct_current_detection_ma=threshold_ma)[0] is expected


@pytest.mark.parametrize(("threshold_ma", "expected"), [(6.0, COMPLIES), (6.1, FAILS)])
def test_detection_may_sit_in_the_board(threshold_ma: float, expected: Outcome) -> None:
    assert protected(rcbo("way1", direct_current_detection_ma=threshold_ma), **NO_DETECTION)[0] is expected


def test_detection_alone_is_no_residual_current_device() -> None:
    assert protected(breaker("way1")) == (FAILS, "no_residual_current_device")


def built_in(standard: str = "BS EN 61008-1", rcd_type: str = "A", rating_ma: float = 30.0) -> BuiltInResidualDevice:
    return BuiltInResidualDevice(
        standard=standard, rcd_type=RcdType(rcd_type), rated_residual_operating_current_ma=rating_ma
    )


@pytest.mark.parametrize("standard", ["BS EN 61008-1", "BS EN 61009-1", "BS EN 62423", "BS EN 60947-2"])
def test_a_device_inside_the_unit_counts_with_a_listed_standard(standard: str) -> None:
    assert protected(breaker("way1"), built_in_rcd=built_in(standard)) == (COMPLIES, "detection_in_the_unit")


def test_a_monitoring_relay_inside_the_unit_does_not_count() -> None:
    relay = built_in("BS IEC 62955")
    assert protected(breaker("way1"), built_in_rcd=relay) == (FAILS, "built_in_not_listed")
    assert protected(rcbo("way1"), built_in_rcd=relay)[0] is COMPLIES


def test_the_device_in_the_board_may_make_good_what_the_built_in_one_lacks() -> None:
    weak = built_in(rating_ma=100.0)
    assert protected(breaker("way1"), built_in_rcd=weak) == (FAILS, "rating_above_limit")
    assert protected(rcbo("way1"), built_in_rcd=weak)[0] is COMPLIES


def test_a_device_that_other_circuits_share_is_a_nuisance_and_no_hazard() -> None:
    verdict = on(residual_protection_of_the_charger, rcbo("way1"), circuit("d", "way1"))
    assert verdict is not None
    finding = Finding(residual_protection_of_the_charger, "equipment.ev", verdict)
    assert (finding.outcome, verdict.case, finding.consequence) == (FAILS, "shared_device", Consequence.NUISANCE)
    assert not finding.is_hazard


def test_the_wrong_type_on_a_shared_device_stays_a_hazard() -> None:
    verdict = on(residual_protection_of_the_charger, rcbo("way1"), circuit("d", "way1"), **NO_DETECTION)
    assert verdict is not None
    assert Finding(residual_protection_of_the_charger, "equipment.ev", verdict).is_hazard


def test_electrical_separation_is_exempt() -> None:
    separated = {"earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    assert protected(breaker("way1"), **separated) == (COMPLIES, "electrical_separation")


@pytest.mark.parametrize(
    ("way", "facts", "missing"),
    [
        (rcbo("way1", None), {}, "devices.way1.rcd_type"),
        (rcbo("way1", "B", None), {}, "devices.way1.rated_residual_operating_current_ma"),
        (rcbo("way1"), {"direct_current_detection": None}, "equipment.ev.charger.direct_current_detection"),
    ],
)
def test_unknown_facts_leave_the_protection_open(way: object, facts: dict[str, object], missing: str) -> None:
    verdict = on(residual_protection_of_the_charger, way, **facts)
    assert verdict is not None
    assert verdict.missing == (missing,)


def test_unknown_detection_does_not_matter_with_type_b() -> None:
    assert protected(rcbo("way1", "B"), direct_current_detection=None) == (COMPLIES, "type_b")


# --- poles ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("poles", "expected"), [(2, COMPLIES), (1, FAILS)])
def test_the_device_of_a_charger_opens_line_and_neutral(poles: int, expected: Outcome) -> None:
    verdict = on(chargers_device_opens_all_live_conductors, rcbo("way1", poles=poles))
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.limit) == (expected, poles, 2)


@pytest.mark.parametrize(("poles", "expected"), [(4, COMPLIES), (3, FAILS)])
def test_the_device_of_a_three_phase_charger_opens_four_poles(poles: int, expected: Outcome) -> None:
    way, own = rcbo("way1", poles=poles), circuit("c", "way1", phases=3)
    assert result(chargers_device_opens_all_live_conductors, way, own, phases=3)[0] is expected


def test_a_device_inside_the_unit_opens_all_live_conductors_itself() -> None:
    rule = chargers_device_opens_all_live_conductors
    assert result(rule, breaker("way1"), built_in_rcd=built_in()) == (COMPLIES, "built_in")
    partial = BuiltInResidualDevice(
        standard="BS EN 61008-1", rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0, opens_all_live=False
    )
    assert result(rule, breaker("way1"), built_in_rcd=partial) == (FAILS, "built_in")
    assert result(rule, rcbo("way1"), built_in_rcd=partial) == (COMPLIES, "device_in_the_board")


def test_a_relay_of_another_standard_opens_nothing_by_itself() -> None:
    rule = chargers_device_opens_all_live_conductors
    assert result(rule, breaker("way1"), built_in_rcd=built_in("BS IEC 62955")) == (FAILS, "built_in")


def test_without_any_device_the_poles_are_not_judged() -> None:
    assert on(chargers_device_opens_all_live_conductors, breaker("way1")) is None


@pytest.mark.parametrize("threshold_ma", [3.0, 6.0])
def test_detection_that_acts_earlier_than_6_ma_serves_too(threshold_ma: float) -> None:
    assert protected(rcbo("way1"), direct_current_detection_ma=threshold_ma) == (COMPLIES, "detection_in_the_unit")
    in_board = rcbo("way1", direct_current_detection_ma=threshold_ma)
    assert protected(in_board, **NO_DETECTION) == (COMPLIES, "detection_in_the_board")


def test_detection_that_is_too_coarse_is_named_with_its_threshold() -> None:
    verdict = on(residual_protection_of_the_charger, rcbo("way1"), direct_current_detection_ma=8.0)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "detection_too_coarse", 8.0, 6.0)


def test_a_separated_charger_with_the_right_device_is_judged_by_its_device() -> None:
    separated = {"earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    assert protected(rcbo("way1", "B"), **separated) == (COMPLIES, "type_b")
    shared = on(residual_protection_of_the_charger, rcbo("way1"), circuit("a", "way1"), **separated)
    assert shared is not None
    assert (shared.outcome, shared.case) == (COMPLIES, "electrical_separation")


def test_a_device_inside_the_unit_stands_whatever_the_board_has_before_it() -> None:
    assert protected(rcbo("way1", "AC", 300.0), built_in_rcd=built_in()) == (COMPLIES, "detection_in_the_unit")


@pytest.mark.parametrize(("points", "expected"), [(1, (COMPLIES, "type_b")), (2, (FAILS, "several_points"))])
def test_points_of_one_unit_do_not_share_a_device_in_the_board(points: int, expected: tuple[Outcome, str]) -> None:
    # each connecting point is protected individually: 722.531.3.101, from memory
    assert protected(rcbo("way1", "B"), points=points) == expected


def test_a_shared_device_of_one_unit_is_named_and_no_hazard() -> None:
    verdict = on(residual_protection_of_the_charger, rcbo("way1", "B"), points=2)
    assert verdict is not None
    assert (verdict.value, verdict.related) == ("B", ("devices.way1",))
    assert verdict.consequence is Consequence.NUISANCE


def test_devices_that_the_sheet_names_inside_serve_each_point_of_a_unit() -> None:
    assert protected(breaker("way1"), points=2, built_in_rcd=built_in()) == (COMPLIES, "detection_in_the_unit")


def test_a_separated_charger_is_exempt_whatever_its_sheet_leaves_out() -> None:
    silent = {"earthing": ChargerEarthing.ELECTRICAL_SEPARATION, "direct_current_detection": None}
    assert protected(rcbo("way1", "A"), **silent) == (COMPLIES, "electrical_separation")
