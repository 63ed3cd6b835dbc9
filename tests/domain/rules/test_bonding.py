"""BON-01 and BON-02 against Table 54.8, 544.1.1 and Table 54.7 (from memory), and by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, everyday_supply, house, verdicts
from tests.domain.published import published
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict
from trainer.domain.rules import bonding
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import EarthingSystem, Outcome

BONDING, EARTHING = bonding.RULES
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED
PME, TN_S, TT = EarthingSystem.TN_C_S, EarthingSystem.TN_S, EarthingSystem.TT


def bonded(
    system: EarthingSystem | None, neutral_mm2: float | None = 25.0, ze: float | None = 0.2, **facts: Any
) -> Verdict:
    supply = everyday_supply(system, neutral_mm2=neutral_mm2, external_earth_fault_loop_impedance_ohm=ze)
    earthing = Earthing(**({"extraneous_parts": True} | facts))
    return verdicts(BONDING, house(supply=supply, earthing=earthing))["installation"]


@pytest.mark.parametrize("row", published("main_bonding_pme"))
def test_pme_bonding_follows_the_neutral(row: dict[str, str]) -> None:
    neutral, size = float(row["neutral_mm2"]), float(row["bonding_mm2"])
    exact = bonded(PME, neutral, main_bonding_mm2=size)
    assert (exact.outcome, exact.case, exact.limit) == (PASS, "pme", size)
    assert bonded(PME, neutral, main_bonding_mm2=size - 1).outcome is FAIL


@pytest.mark.parametrize("system", [TN_S, TT])
@pytest.mark.parametrize(
    ("earthing_mm2", "needed"), [(16.0, 8.0), (6.0, 6.0), (10.0, 6.0), (25.0, 12.5), (50.0, 25.0), (70.0, 25.0)]
)
def test_other_bonding_is_half_the_earthing_conductor_between_6_and_25(
    system: EarthingSystem, earthing_mm2: float, needed: float
) -> None:
    # 544.1.1
    exact = bonded(system, None, earthing_conductor_mm2=earthing_mm2, main_bonding_mm2=needed)
    assert (exact.outcome, exact.case, exact.limit) == (PASS, "by_earthing_conductor", needed)
    thin = bonded(system, None, earthing_conductor_mm2=earthing_mm2, main_bonding_mm2=needed - 0.5)
    assert thin.outcome is FAIL


def test_without_extraneous_parts_there_is_nothing_to_bond() -> None:
    verdict = bonded(PME, extraneous_parts=False)
    assert (verdict.outcome, verdict.case) == (PASS, "no_extraneous_parts")


@pytest.mark.parametrize(
    ("system", "neutral", "facts", "path"),
    [
        (PME, 25.0, {"extraneous_parts": None}, "earthing.extraneous_parts"),
        (PME, 25.0, {}, "earthing.main_bonding_mm2"),
        (None, 25.0, {"main_bonding_mm2": 10.0}, "supply.earthing_system"),
        (PME, None, {"main_bonding_mm2": 10.0}, "supply.neutral_mm2"),
        (TN_S, None, {"main_bonding_mm2": 10.0}, "earthing.earthing_conductor_mm2"),
    ],
)
def test_bonding_is_undetermined_without(
    system: EarthingSystem | None, neutral: float | None, facts: dict[str, Any], path: str
) -> None:
    verdict = bonded(system, neutral, **facts)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


def earthed(
    system: EarthingSystem | None,
    size: float | None,
    *,
    tails_mm2: float | None = 25.0,
    ze: float | None = 0.2,
    ra: float | None = None,
    **supply_facts: Any,
) -> Verdict:
    given = {"neutral_mm2": 25.0, "external_earth_fault_loop_impedance_ohm": ze} | supply_facts
    earthing = Earthing(earthing_conductor_mm2=size, electrode_resistance_ohm=ra, extraneous_parts=True)
    board = Board(id=BOARD, tails_mm2=tails_mm2)
    return verdicts(EARTHING, house(board, supply=everyday_supply(system, **given), earthing=earthing))["installation"]


def test_16_mm2_suits_tails_of_25_mm2_by_the_table() -> None:
    verdict = earthed(PME, 16.0)
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "table", 16.0)
    larger = earthed(PME, 25.0)
    assert (larger.outcome, larger.case, larger.value) == (PASS, "table", 25.0)


def test_less_than_the_table_is_judged_by_the_energy_of_the_service_fuse() -> None:
    # BS 88-3, 100 A: Ia(5 s) = 218.5 / 0.38 = 575 A; 230 V / 0.2 ohm = 1150 A; sqrt(575^2 x 5) / 143 = 8.991 mm2
    verdict = earthed(TN_S, 10.0)
    assert (verdict.outcome, verdict.case) == (PASS, "adiabatic")
    assert verdict.limit == pytest.approx(8.991, abs=1e-3)
    assert earthed(TN_S, 6.0).outcome is FAIL
    assert earthed(TN_S, 8.9).outcome is FAIL
    assert earthed(TN_S, 9.0).outcome is PASS


def test_a_fault_too_weak_for_the_fuse_flows_for_five_seconds() -> None:
    # 230 V / 0.8 ohm = 287.5 A: sqrt(287.5^2 x 5) / 143 = 4.4955 mm2
    verdict = earthed(TN_S, 6.0, ze=0.8)
    assert (verdict.outcome, verdict.limit) == (PASS, pytest.approx(4.4955, abs=1e-3))
    terms = verdict.terms() if callable(verdict.terms) else verdict.terms
    assert [(t.name, t.unit) for t in terms] == [("fault_current", "A"), ("energy", "A2s")]
    assert terms[0].value == pytest.approx(287.5)


def test_with_pme_it_is_not_smaller_than_the_bonding() -> None:
    verdict = earthed(PME, 6.0, ze=0.35)
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "pme", 10.0)
    exact = earthed(PME, 10.0, ze=0.35)
    assert (exact.outcome, exact.case, exact.limit) == (PASS, "adiabatic", 10.0)


def test_in_tt_little_current_flows_for_one_second() -> None:
    # 230 V / 23 ohm = 10 A: sqrt(100 x 1) / 143 = 0.0699 mm2
    verdict = earthed(TT, 6.0, ra=23.0, ze=None)
    assert (verdict.outcome, verdict.limit) == (PASS, pytest.approx(0.06993, abs=1e-4))


def test_the_largest_tails_at_the_origin_count() -> None:
    def judged(*boards: Board) -> Verdict:
        earthing = Earthing(earthing_conductor_mm2=10.0, extraneous_parts=True)
        supply = everyday_supply(TN_S, external_earth_fault_loop_impedance_ohm=0.2)
        return verdicts(EARTHING, house(*boards, supply=supply, earthing=earthing))["installation"]

    main = Board(id=BOARD, tails_mm2=10.0)
    assert judged(main, Board(id="beyond", fed_by="sub", tails_mm2=25.0)).case == "table"
    assert judged(main, Board(id="second", tails_mm2=25.0)).case == "adiabatic"


def test_unknown_tails_leave_the_calculation() -> None:
    assert earthed(TN_S, 16.0, tails_mm2=None).case == "adiabatic"


@pytest.mark.parametrize(
    ("verdict", "path"),
    [
        (earthed(PME, None), "earthing.earthing_conductor_mm2"),
        (earthed(None, 16.0), "supply.earthing_system"),
        (earthed(PME, 10.0, neutral_mm2=None), "supply.neutral_mm2"),
        (earthed(TN_S, 10.0, ze=None), "supply.external_earth_fault_loop_impedance_ohm"),
        (earthed(TN_S, 10.0, fuse_rated_current_a=None), "supply.fuse_rated_current_a"),
        (earthed(TT, 10.0), "earthing.electrode_resistance_ohm"),
    ],
)
def test_the_earthing_conductor_is_undetermined_without(verdict: Verdict, path: str) -> None:
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))
