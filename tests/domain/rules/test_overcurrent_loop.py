"""OC-02: passing, failing, on the limit, undetermined; expected values by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    breaker,
    charger,
    circuit,
    everyday_supply,
    fuse,
    house,
    rcbo,
    verdicts,
)
from tests.domain.rules.overcurrent_houses import at_impedance, terms
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Verdict
from trainer.domain.rules import overcurrent
from trainer.domain.vocabulary import Curve, EarthingSystem, Outcome

LOOP = overcurrent.RULES[1]
PASS, FAIL, ADVICE, UNKNOWN = (
    Outcome.COMPLIES,
    Outcome.DOES_NOT_COMPLY,
    Outcome.ADVICE,
    Outcome.UNDETERMINED,
)


def loop(*records: Any, **facts: Any) -> Verdict:
    return verdicts(LOOP, house(*records, **facts))["c"]


def test_a_loop_below_the_table_complies_and_shows_its_sum() -> None:
    verdict = loop(breaker("b"), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "breaker_table", 1.37)
    assert verdict.value == pytest.approx(0.81824)
    assert sum(terms(verdict).values()) == pytest.approx(0.81824)


@pytest.mark.parametrize(("ze", "outcome"), [(0.90176, PASS), (0.90177, FAIL)])
def test_a_loop_of_exactly_the_tabulated_impedance_complies(ze: float, outcome: Outcome) -> None:
    # 0.90176 + 0.46824 = 1.37 ohm for curve B, 32 A
    assert loop(breaker("b"), circuit("c", "b"), supply=at_impedance(ze)).outcome is outcome


def test_curve_c_needs_half_the_impedance_of_curve_b() -> None:
    verdict = loop(breaker("b", curve=Curve.C), circuit("c", "b"))
    assert (verdict.outcome, verdict.limit) == (FAIL, 0.68)


def test_a_fuse_is_judged_by_its_own_table_and_time() -> None:
    verdict = loop(fuse("b", standard="BS 88-3"), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "fuse_table", 0.91)


def test_a_fixed_circuit_above_32_a_has_five_seconds() -> None:
    verdict = loop(fuse("b", standard="BS 88-3", rated_current_a=45.0), circuit("c", "b"))
    assert verdict.limit == 1.0
    outlets = loop(fuse("b", standard="BS 88-3", rated_current_a=45.0), circuit("c", "b", socket_outlets=True))
    assert outlets.outcome is UNKNOWN


def test_a_residual_current_device_may_take_over_fault_protection() -> None:
    # 50 V / 0.03 A = 1667 ohm
    verdict = loop(rcbo("b", curve=Curve.D), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "by_rcd", pytest.approx(1666.667, abs=1e-3))
    assert verdict.related == ("devices.b",)


def test_a_residual_current_device_is_not_named_where_the_overcurrent_device_does() -> None:
    assert loop(rcbo("b"), circuit("c", "b")).case == "breaker_table"


def test_a_residual_current_device_whose_loop_is_too_high_does_not_help() -> None:
    # 50 V / 0.5 A = 100 ohm
    high = at_impedance(100.0)
    verdict = loop(rcbo("b", rating_ma=500.0), circuit("c", "b"), supply=high)
    assert (verdict.outcome, verdict.case) == (FAIL, "breaker_table")


def test_curve_d_at_five_seconds_is_advice_where_the_tables_disagree() -> None:
    # Curve D, 40 A, fixed equipment: 0.27 ohm by one reading, 0.55 ohm by another; 0.05 + 0.46824 = 0.518 ohm
    fed = (breaker("b", curve=Curve.D, rated_current_a=40.0), circuit("c", "b"))
    verdict = loop(*fed, supply=at_impedance(0.05))
    assert (verdict.outcome, verdict.case, verdict.limit) == (ADVICE, "disputed_table", 0.55)
    assert verdict.citation is not None
    assert verdict.citation.status.value == "public texts disagree"
    assert loop(*fed, supply=at_impedance(0.09)).outcome is FAIL


def test_curve_d_within_the_short_time_has_one_reading_only() -> None:
    assert loop(breaker("b", curve=Curve.D), circuit("c", "b"), supply=at_impedance(0.05)).outcome is FAIL


def test_the_rule_is_silent_in_tt_for_separate_earths_and_without_a_device() -> None:
    fed = (breaker("b"), circuit("c", "b"))
    own = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE)
    separated = charger("ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION)
    silent = [house(*fed, system=EarthingSystem.TT), house(*fed, own), house(*fed, separated)]
    silent.append(house(circuit("c", BOARD)))
    assert [verdicts(LOOP, home) for home in silent] == [{}, {}, {}, {}]


@pytest.mark.parametrize(
    ("facts", "device", "path"),
    [
        ({"system": None}, {}, "supply.earthing_system"),
        ({}, {"curve": None}, "devices.b.curve"),
        (
            {"supply": everyday_supply(external_earth_fault_loop_impedance_ohm=None)},
            {},
            "supply.external_earth_fault_loop_impedance_ohm",
        ),
    ],
)
def test_the_loop_is_undetermined_without(facts: dict[str, Any], device: dict[str, Any], path: str) -> None:
    verdict = loop(breaker("b", **device), circuit("c", "b"), **facts)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


def test_an_unknown_residual_rating_matters_only_where_it_is_needed() -> None:
    fed = circuit("c", "b")
    assert loop(rcbo("b", rating_ma=None), fed).outcome is PASS
    verdict = loop(rcbo("b", rating_ma=None, curve=Curve.D), fed)
    assert verdict.missing == ("devices.b.rated_residual_operating_current_ma",)
