"""SUP-01 to SUP-03: passing, failing or advice, on the limit, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, MAIN_SWITCH, breaker, circuit, everyday_supply, fuse, house, rcbo, rccb, verdicts
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict
from trainer.domain.rules import supply
from trainer.domain.vocabulary import EarthingSystem, Outcome

TAILS, SELECTIVE, SYSTEM = supply.RULES
PASS, FAIL, ADVICE, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def tails(length_m: float | None, size: float | None, fuse_a: float | None = 100.0) -> Verdict:
    board = Board(id=BOARD, tails_length_m=length_m, tails_mm2=size)
    return verdicts(TAILS, house(board, supply=everyday_supply(fuse_rated_current_a=fuse_a)))[BOARD]


@pytest.mark.parametrize(("length_m", "outcome"), [(2.9, PASS), (3.0, PASS), (3.1, FAIL)])
def test_tails_are_at_most_three_metres_long(length_m: float, outcome: Outcome) -> None:
    # 433.2.2, 434.2.1, from memory
    verdict = tails(length_m, 25.0)
    assert verdict.outcome is outcome
    if outcome is FAIL:
        assert (verdict.case, verdict.value, verdict.limit, verdict.unit) == ("length", 3.1, 3.0, "m")


@pytest.mark.parametrize(("fuse_a", "needed"), [(60.0, 16.0), (63.0, 16.0), (80.0, 16.0), (100.0, 25.0), (81.0, 25.0)])
def test_tails_suit_the_service_fuse(fuse_a: float, needed: float) -> None:
    # Guidance: 16 mm2 up to 80 A, 25 mm2 for 100 A, from memory
    exact = tails(1.0, needed, fuse_a)
    assert (exact.outcome, exact.case, exact.limit, exact.unit) == (PASS, "size", needed, "mm2")
    assert tails(1.0, needed - 6, fuse_a).outcome is FAIL


@pytest.mark.parametrize(
    ("verdict", "path"),
    [
        (tails(None, 25.0), "boards.main.tails_length_m"),
        (tails(1.0, None), "boards.main.tails_mm2"),
        (tails(1.0, 25.0, None), "supply.fuse_rated_current_a"),
        (tails(1.0, 25.0, 160.0), "supply.fuse_rated_current_a"),
    ],
)
def test_tails_are_undetermined_without(verdict: Verdict, path: str) -> None:
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


@pytest.mark.parametrize("feeder", ["sub", "way9"])
def test_a_board_beyond_a_device_has_its_own_protection(feeder: str) -> None:
    garage = Board(id="garage", fed_by=feeder)
    protected = verdicts(TAILS, house(breaker("b"), circuit(feeder, "b"), garage))["garage"]
    assert (protected.outcome, protected.case, protected.related) == (PASS, "own_device", ("devices.b",))
    bare = verdicts(TAILS, house(circuit(feeder, MAIN_SWITCH), garage))["garage"]
    assert (bare.outcome, bare.case, bare.related) == (FAIL, "own_device", (f"circuits.{feeder}",))


def test_the_network_is_known_by_the_letters_of_its_name_as_a_file_brings_them() -> None:
    board = Board(id=BOARD, fed_by="".join(["sup", "ply"]), tails_length_m=1.0, tails_mm2=25.0)
    assert verdicts(TAILS, house(board))[BOARD].case == "size"


def selective(*records: Any, of: str = "b", **facts: Any) -> Verdict:
    return verdicts(SELECTIVE, house(*records, **facts))[of]


@pytest.mark.parametrize(("rated_a", "outcome"), [(62.5, PASS), (63.0, ADVICE), (40.0, PASS)])
def test_a_ratio_of_1_6_to_the_service_fuse_is_advised(rated_a: float, outcome: Outcome) -> None:
    # gG fuses discriminate from 1.6 : 1 on (BS 88-2), from memory; 100 / 62.5 = 1.6
    verdict = selective(breaker("b", rated_current_a=rated_a))
    assert (verdict.outcome, verdict.case, verdict.limit) == (outcome, "service_fuse", 1.6)
    assert verdict.value == pytest.approx(100 / rated_a)
    assert verdict.related == ("supply",)


def test_the_nearest_overcurrent_device_upstream_counts() -> None:
    below_fuse = selective(fuse("f", rated_current_a=63.0), rccb("r", fed_by="f"), breaker("b", fed_by="r"))
    assert (below_fuse.outcome, below_fuse.case, below_fuse.related) == (PASS, "fuse_upstream", ("devices.f",))
    below_breaker = selective(breaker("up", rated_current_a=50.0), breaker("b", fed_by="up"))
    assert (below_breaker.outcome, below_breaker.case) == (ADVICE, "breaker_upstream")
    assert below_breaker.value == 1.5625


def test_an_rcbo_upstream_is_a_breaker() -> None:
    verdict = selective(rcbo("up", rated_current_a=63.0), breaker("b", fed_by="up"))
    assert (verdict.case, verdict.related) == ("breaker_upstream", ("devices.up",))


def test_selectivity_is_undetermined_without_the_service_fuse_and_silent_for_switches() -> None:
    verdict = selective(breaker("b"), supply=everyday_supply(fuse_rated_current_a=None))
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("supply.fuse_rated_current_a",))
    assert verdicts(SELECTIVE, house(rccb("r"))) == {}


@pytest.mark.parametrize(
    ("stated", "apparent", "outcome", "case"),
    [
        (EarthingSystem.TN_S, EarthingSystem.TN_S, PASS, "as_stated"),
        (EarthingSystem.TN_S, None, PASS, "as_stated"),
        (EarthingSystem.TN_C_S, EarthingSystem.TN_S, UNKNOWN, "appearance_differs"),
        (EarthingSystem.TN_S, EarthingSystem.TN_C_S, UNKNOWN, "appearance_differs"),
        (None, EarthingSystem.TN_S, UNKNOWN, "not_stated"),
    ],
)
def test_a_supply_that_looks_unlike_its_record_is_undetermined(
    stated: EarthingSystem | None, apparent: EarthingSystem | None, outcome: Outcome, case: str
) -> None:
    home = house(supply=everyday_supply(stated, apparent_earthing_system=apparent))
    verdict = verdicts(SYSTEM, home)["installation"]
    assert (verdict.outcome, verdict.case) == (outcome, case)
    assert verdict.missing == (() if outcome is PASS else ("supply.earthing_system",))
    assert verdict.value == (stated.value if stated is not None and outcome is PASS else None)
