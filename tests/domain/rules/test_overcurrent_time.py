"""OC-04: passing, failing, on the limit, undetermined; expected values by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    breaker,
    charger,
    circuit,
    fuse,
    house,
    rcbo,
    rccb,
    verdicts,
)
from tests.domain.rules.overcurrent_houses import at_impedance, terms
from trainer.domain.calculations.residual import break_time_s
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules import overcurrent
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DEFAULT_EDITION, EarthingSystem, Outcome, ResidualDelay

LOOP, IN_TIME = overcurrent.RULES[1:3]
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def tt(*records: Any, ohm: float | None = 100.0, **facts: Any) -> Installation:
    earthing = Earthing(electrode_resistance_ohm=ohm, extraneous_parts=False)
    return house(*records, system=EarthingSystem.TT, earthing=earthing, **facts)


def in_time(home: Installation) -> Verdict:
    return verdicts(IN_TIME, home)["c"]


def test_in_tn_a_breaker_within_its_loop_clears_at_once() -> None:
    verdict = in_time(house(breaker("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "by_overcurrent_device", 0.1, 0.4)


def test_a_fuse_promises_its_tabulated_time() -> None:
    verdict = in_time(house(fuse("b", standard="BS 88-3"), circuit("c", "b")))
    assert (verdict.outcome, verdict.value, verdict.limit) == (PASS, 0.4, 0.4)


def test_a_fuse_that_needs_five_seconds_leaves_the_verdict_to_the_loop_rule() -> None:
    # BS 88-3, 32 A: 1.218 ohm lies between 0.91 (0.4 s) and 1.6 (5 s)
    home = house(fuse("b", standard="BS 88-3"), circuit("c", "b"), supply=at_impedance(0.75))
    assert verdicts(IN_TIME, home) == {}
    assert verdicts(LOOP, home)["c"].outcome is FAIL


def test_in_tt_without_a_residual_current_device_nothing_disconnects() -> None:
    verdict = in_time(tt(breaker("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "no_rcd", 0.2)


def test_in_tt_a_30_ma_device_acts_within_40_ms_at_the_current_that_flows() -> None:
    # 230 V / (100 + 0.178) ohm = 2.3 A, some 76 times 30 mA
    verdict = in_time(tt(rcbo("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "by_rcd", 0.04, 0.2)
    assert terms(verdict) == {"earth_electrode_resistance": 100.0, "line_conductor_resistance": pytest.approx(0.17784)}


@pytest.mark.parametrize(
    ("ra", "value", "outcome"),
    [(166.0, 0.2, PASS), (382.0, 0.2, PASS), (384.0, 0.5, FAIL)],
)
def test_in_tt_a_selective_device_keeps_0_2_s_from_twice_its_rating_on(
    ra: float, value: float, outcome: Outcome
) -> None:
    # S type, 300 mA: 0.2 s from 0.6 A on (230 V / 383.2 ohm), 0.5 s below; IEC 61008-1 Table 1
    head = rccb("head", rating_ma=300.0, residual_delay=ResidualDelay.S, fed_by=BOARD)
    verdict = in_time(tt(head, breaker("b"), circuit("c", "b"), ohm=ra))
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, "by_rcd", value)


def test_a_current_below_the_rating_promises_nothing() -> None:
    # 230 V / 8000 ohm = 28.7 mA
    verdict = in_time(tt(rcbo("b"), circuit("c", "b"), ohm=8000.0))
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "below_rating", 0.03)
    assert verdict.value == pytest.approx(0.02875, abs=1e-5)


def test_of_two_devices_the_faster_one_counts() -> None:
    head = rccb("head", rating_ma=100.0, residual_delay=ResidualDelay.S, fed_by=BOARD)
    verdict = in_time(tt(head, rcbo("b"), circuit("c", "b")))
    assert (verdict.value, verdict.related) == (0.04, ("devices.b",))


def test_a_device_that_the_current_does_not_reach_gives_way_to_one_that_it_does() -> None:
    # 230 V / 2000 ohm = 115 mA: 300 mA does not act, 30 mA within 0.15 s from twice, 0.3 s from once its rating
    head = rccb("head", rating_ma=300.0, fed_by=BOARD)
    verdict = in_time(tt(head, rcbo("b"), circuit("c", "b"), ohm=2000.0))
    assert (verdict.case, verdict.value, verdict.related) == ("by_rcd", 0.15, ("devices.b",))
    swapped = in_time(tt(rccb("head", fed_by=BOARD), rcbo("b", rating_ma=300.0), circuit("c", "b"), ohm=2000.0))
    assert (swapped.case, swapped.value, swapped.related) == ("by_rcd", 0.15, ("devices.head",))


def test_the_break_time_of_a_step_holds_from_that_step_on() -> None:
    limits = limits_for(DEFAULT_EDITION)
    times = [break_time_s(ResidualDelay.GENERAL, multiple, limits) for multiple in (0.99, 1.0, 1.99, 2.0, 4.99, 5.0)]
    assert times == [None, 0.3, 0.3, 0.15, 0.15, 0.04]


def test_a_charger_on_its_own_electrode_is_judged_as_tt() -> None:
    own = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE, electrode_resistance_ohm=100.0)
    assert in_time(house(breaker("b"), circuit("c", "b"), own)).case == "no_rcd"
    assert in_time(house(rcbo("b"), circuit("c", "b"), own)).limit == 0.2


def test_a_separated_charger_and_a_circuit_without_device_are_not_judged() -> None:
    separated = charger("ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION)
    assert verdicts(IN_TIME, house(breaker("b"), circuit("c", "b"), separated)) == {}
    assert verdicts(IN_TIME, house(circuit("c", BOARD))) == {}


@pytest.mark.parametrize(
    ("home", "path"),
    [
        (house(breaker("b"), circuit("c", "b"), system=None), "supply.earthing_system"),
        (tt(rcbo("b"), circuit("c", "b"), ohm=None), "earthing.electrode_resistance_ohm"),
        (tt(rcbo("b", residual_delay=None), circuit("c", "b")), "devices.b.residual_delay"),
        (tt(rcbo("b", rating_ma=None), circuit("c", "b")), "devices.b.rated_residual_operating_current_ma"),
        (house(fuse("b"), circuit("c", "b")), "devices.b.standard"),
    ],
)
def test_disconnection_is_undetermined_without(home: Installation, path: str) -> None:
    verdict = in_time(home)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))
