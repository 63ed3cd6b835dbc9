"""ISO-01, ISO-01A, ISO-02, LAB-01, LAB-02: passing, failing or advice, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, breaker, circuit, house, inverter, rcbo, rccb, switch, verdicts
from trainer.domain.devices import Board
from trainer.domain.equipment import SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.notices import Notice
from trainer.domain.rules import isolation
from trainer.domain.vocabulary import EarthingSystem, Outcome

MAIN, SOURCE, EXPLAINED, TEST_NOTICES, CHART = isolation.RULES
PASS, FAIL, ADVICE, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def main(poles: int, phases: int = 1, system: EarthingSystem | None = EarthingSystem.TN_C_S, **facts: Any) -> Verdict:
    return verdicts(MAIN, house(switch(poles=poles, **facts), phases=phases, system=system))[BOARD]


@pytest.mark.parametrize(
    ("poles", "phases", "system", "outcome", "needed"),
    [
        (2, 1, EarthingSystem.TN_C_S, PASS, 2),
        (1, 1, EarthingSystem.TN_C_S, FAIL, 2),
        (2, 1, None, PASS, 2),
        (3, 3, EarthingSystem.TN_S, PASS, 3),
        (2, 3, EarthingSystem.TN_S, FAIL, 3),
        (3, 3, EarthingSystem.TT, FAIL, 4),
        (4, 3, EarthingSystem.TT, PASS, 4),
    ],
)
def test_the_main_switch_opens_what_must_open(
    poles: int, phases: int, system: EarthingSystem | None, outcome: Outcome, needed: int
) -> None:
    verdict = main(poles, phases, system)
    assert (verdict.outcome, verdict.case, verdict.limit, verdict.related) == (
        outcome,
        "poles",
        needed,
        ("devices.main_switch",),
    )


def test_a_main_switch_is_suitable_for_isolation() -> None:
    verdict = main(2, isolates=False)
    assert (verdict.outcome, verdict.case) == (FAIL, "not_for_isolation")


def test_a_board_has_one_main_switch() -> None:
    verdict = verdicts(MAIN, house(switch(), rccb("r", fed_by=BOARD)))[BOARD]
    assert (verdict.outcome, verdict.case) == (FAIL, "several_incomers")
    assert verdict.related == ("devices.main_switch", "devices.r")


def test_three_phases_without_a_known_system_are_undetermined() -> None:
    verdict = main(3, 3, None)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("supply.earthing_system",))


def test_boards_beyond_a_circuit_and_empty_boards_are_not_judged() -> None:
    home = house(breaker("b"), circuit("sub", "b"), Board(id="garage", fed_by="sub"), Board(id="empty"))
    inner = breaker("g", board="garage", fed_by="garage", isolates=False)
    found = verdicts(MAIN, house(*home.devices.values(), inner, *home.circuits.values(), *home.boards.values()))
    assert set(found) == {BOARD}


@pytest.mark.parametrize("feeder", ["sub", "way9"])
def test_a_board_beyond_a_circuit_of_any_name_is_not_judged(feeder: str) -> None:
    inner = (Board(id="garage", fed_by=feeder), breaker("g", board="garage", fed_by="garage", isolates=False))
    assert set(verdicts(MAIN, house(breaker("b"), circuit(feeder, "b"), *inner))) == {BOARD}


@pytest.mark.parametrize("group", ["group", "split"])
def test_devices_below_the_main_switch_are_no_incomers(group: str) -> None:
    verdict = verdicts(MAIN, house(switch(), rccb(group), breaker("b", fed_by=group)))[BOARD]
    assert (verdict.outcome, verdict.case) == (PASS, "poles")


def test_names_are_compared_by_their_letters_as_a_file_brings_them() -> None:
    read = "".join  # a string of its own, as a parser makes it
    board, incomer = Board(id=BOARD, fed_by=read(["sup", "ply"])), switch(fed_by=read(["ma", "in"]))
    assert verdicts(MAIN, house(board, incomer))[BOARD].case == "poles"


def source(kind: SourceKind = SourceKind.BATTERY, **facts: Any) -> Any:
    home = house(breaker("b"), circuit("c", "b"), inverter("s", "c", kind, **facts))
    return verdicts(SOURCE, home).get("s")


@pytest.mark.parametrize(
    ("kind", "facts", "outcome", "case"),
    [
        (SourceKind.BATTERY, {"isolator_ac": True, "isolator_dc": True}, PASS, "isolator_dc"),
        (SourceKind.BATTERY, {"isolator_ac": True, "isolator_dc": False}, FAIL, "isolator_dc"),
        (SourceKind.BATTERY, {"isolator_ac": False}, FAIL, "isolator_ac"),
        (SourceKind.GENERATING_SET, {"isolator_ac": True}, PASS, "isolator_ac"),
        (SourceKind.GENERATING_SET, {"isolator_ac": False}, FAIL, "isolator_ac"),
    ],
)
def test_a_source_can_be_isolated(kind: SourceKind, facts: dict[str, Any], outcome: Outcome, case: str) -> None:
    verdict = source(kind, **facts)
    assert (verdict.outcome, verdict.case) == (outcome, case)


def test_isolation_of_a_source_is_undetermined_without() -> None:
    assert source().missing == ("equipment.s.source.isolator_ac",)
    assert source(isolator_ac=True).missing == ("equipment.s.source.isolator_dc",)


def test_pv_and_vehicles_have_rules_of_their_own() -> None:
    for kind in (SourceKind.PV, SourceKind.HYBRID, SourceKind.VEHICLE):
        assert source(kind) is None


SOURCES = (breaker("b"), circuit("c", "b"), inverter("pv", "c"))


def test_a_notice_for_all_sources_is_advised() -> None:
    told = verdicts(EXPLAINED, house(*SOURCES, notices=frozenset({Notice.ISOLATION_OF_ALL_SOURCES})))
    silent = verdicts(EXPLAINED, house(*SOURCES))
    assert (told["installation"].outcome, silent["installation"].outcome) == (PASS, ADVICE)
    assert silent["installation"].limit == "isolation_of_all_sources"
    assert verdicts(EXPLAINED, house(*SOURCES[:2])) == {}


@pytest.mark.parametrize(
    ("device", "notices", "outcome", "case"),
    [
        (rcbo("b"), set(), FAIL, "periodic_inspection"),
        (rcbo("b"), {Notice.RCD_TEST}, FAIL, "periodic_inspection"),
        (rcbo("b"), {Notice.PERIODIC_INSPECTION}, FAIL, "rcd_test"),
        (rcbo("b"), {Notice.PERIODIC_INSPECTION, Notice.RCD_TEST}, PASS, "rcd_test"),
        (breaker("b"), {Notice.PERIODIC_INSPECTION}, PASS, "periodic_inspection"),
    ],
)
def test_notices_of_inspection_and_test(device: Any, notices: set[str], outcome: Outcome, case: str) -> None:
    verdict = verdicts(TEST_NOTICES, house(device, notices=frozenset(notices)))["installation"]
    assert (verdict.outcome, verdict.case, verdict.limit) == (outcome, case, case)


def test_notices_read_from_a_file_are_plain_words() -> None:
    home = house(rcbo("b"), notices=frozenset({"periodic_inspection", "rcd_test", "circuit_chart"}))
    assert verdicts(TEST_NOTICES, home)["installation"].outcome is PASS
    assert verdicts(CHART, home)["installation"].outcome is PASS


def test_without_a_chart_the_board_fails() -> None:
    verdict = verdicts(CHART, house())["installation"]
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "circuit_chart", "circuit_chart")
