"""RAT-01 to RAT-03: passing, failing, on the limit, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    MAIN_SWITCH,
    breaker,
    circuit,
    everyday_supply,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    switch,
    verdicts,
)
from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment, Source, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.rules import ratings
from trainer.domain.vocabulary import Outcome

LOAD, BOTH_ENDS, ROOM = ratings.RULES
PASS, FAIL, ADVICE, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def terms(verdict: Verdict) -> dict[str, float]:
    return {t.name: t.value for t in (verdict.terms() if callable(verdict.terms) else verdict.terms)}


# RAT-01


def load(*records: Any, of: str = "r", **facts: Any) -> Verdict:
    return verdicts(LOAD, house(*records, **facts))[of]


def ways(*ratings_a: float, below: str = "r", lines: str = "111") -> list[Device | Circuit]:
    """Breakers below a device, each with a circuit."""
    records: list[Device | Circuit] = []
    for number, rated_a in enumerate(ratings_a):
        records.append(breaker(f"b{number}", fed_by=below, rated_current_a=rated_a))
        records.append(circuit(f"c{number}", f"b{number}", line=f"L{lines[number]}"))
    return records


def test_a_main_switch_of_100_a_on_a_fuse_of_100_a_complies() -> None:
    verdict = load(*ways(32.0, below=MAIN_SWITCH), of=MAIN_SWITCH)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "upstream_device", 100.0, 100.0)
    assert verdict.related == ("supply",)


def test_an_rccb_of_63_a_on_a_fuse_of_100_a_relies_on_the_devices_after_it() -> None:
    verdict = load(rccb("r"), *ways(32.0, 20.0, 10.0))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "downstream_devices", 62.0, 63.0)
    assert terms(verdict) == {"b0": 32.0, "b1": 20.0, "b2": 10.0}


@pytest.mark.parametrize(("last_a", "outcome"), [(11.0, PASS), (12.0, FAIL)])
def test_devices_that_add_to_exactly_the_rating_comply(last_a: float, outcome: Outcome) -> None:
    verdict = load(rccb("r"), *ways(32.0, 20.0, last_a))
    assert verdict.outcome is outcome


def test_too_many_devices_after_and_too_large_a_fuse_before_fail() -> None:
    verdict = load(rccb("r"), *ways(32.0, 32.0, 10.0))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAIL, "unprotected", 100.0, 63.0)


def test_a_smaller_service_fuse_protects_it() -> None:
    supply = everyday_supply(fuse_rated_current_a=60.0)
    assert load(rccb("r"), *ways(32.0, 32.0, 10.0), supply=supply).case == "upstream_device"


def test_an_overcurrent_device_in_between_counts_before_the_service_fuse() -> None:
    verdict = load(breaker("up", rated_current_a=63.0), rccb("r", fed_by="up"), *ways(32.0, 40.0))
    assert (verdict.outcome, verdict.case, verdict.related) == (PASS, "upstream_device", ("devices.up",))


@pytest.mark.parametrize(("declared_a", "case"), [(100.0, "declared"), (80.0, "unprotected")])
def test_the_makers_declaration_decides_where_it_reaches(declared_a: float, case: str) -> None:
    assert load(rccb("r", declared_load_current_a=declared_a), *ways(32.0, 32.0, 10.0)).case == case


def test_three_phases_are_summed_by_line() -> None:
    # L1 32 + 32 = 64 A, L2 32 A: the worst line exceeds 63 A
    unbalanced = load(rccb("r", poles=4), *ways(32.0, 32.0, 32.0, lines="112"), phases=3)
    assert unbalanced.outcome is FAIL
    balanced = load(rccb("r", poles=4), *ways(32.0, 32.0, 32.0, lines="123"), phases=3)
    assert (balanced.outcome, balanced.value) == (PASS, 32.0)
    # of lines that are loaded alike the first is named
    assert terms(balanced) == {"b0": 32.0}


def test_a_three_phase_circuit_counts_on_every_line() -> None:
    three = (breaker("t", fed_by="r", poles=4), circuit("ct", "t", phases=3))
    assert load(rccb("r", poles=4), *ways(32.0, lines="1"), *three, phases=3).outcome is FAIL
    assert load(rccb("r", poles=4), *ways(20.0, lines="2"), *three, phases=3).value == 52.0


def test_a_way_without_a_device_of_its_own_leaves_it_unprotected() -> None:
    verdict = load(rccb("r"), *ways(10.0), circuit("bare", "r"))
    assert (verdict.outcome, verdict.case) == (FAIL, "unprotected")


def test_devices_of_a_further_board_count_only_by_the_first_one() -> None:
    further = (
        circuit("sub", "f"),
        Board(id="garage", fed_by="sub"),
        breaker("g1", board="garage", fed_by="garage", rated_current_a=32.0),
        circuit("cg1", "g1"),
        breaker("g2", board="garage", fed_by="garage", rated_current_a=32.0),
        circuit("cg2", "g2"),
    )
    verdict = load(rccb("r"), breaker("f", fed_by="r", rated_current_a=40.0), *further)
    assert (verdict.outcome, verdict.value) == (PASS, 40.0)


def test_devices_before_it_do_not_count_among_those_after_it() -> None:
    verdict = load(breaker("up", rated_current_a=80.0), rccb("r", fed_by="up"), *ways(32.0))
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "downstream_devices", 32.0)


def test_a_switch_in_between_protects_nothing() -> None:
    verdict = load(rccb("r"), switch("s", fed_by="r"), *ways(32.0, below="s"))
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "downstream_devices", 32.0)


def test_devices_that_protect_themselves_are_not_judged() -> None:
    assert set(verdicts(LOAD, house(rcbo("b"), circuit("c", "b")))) == {MAIN_SWITCH}


def test_an_unknown_service_fuse_is_missing_only_where_it_is_needed() -> None:
    supply = everyday_supply(fuse_rated_current_a=None)
    assert load(rccb("r"), *ways(32.0), supply=supply).outcome is PASS
    verdict = load(rccb("r"), *ways(32.0, 32.0), supply=supply)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("supply.fuse_rated_current_a",))


# A source beside the device: 551.7.2 gives the sum for an assembly (from memory); here it is an inference.


def beside(*records: Any, fuse_a: float = 80.0, rated_a: float = 80.0, **facts: Any) -> Verdict:
    """An RCCB of 80 A before 96 A of breakers, and beside it on the busbar what else is given."""
    supply = everyday_supply(fuse_rated_current_a=fuse_a)
    return load(rccb("r", rated_current_a=rated_a, **facts), *ways(32.0, 32.0, 32.0), *records, supply=supply)


PV_BESIDE = (breaker("p", rated_current_a=20.0), circuit("cp", "p"), inverter("pv", "cp"))


def test_a_source_beside_an_rccb_adds_to_what_can_flow_through_it() -> None:
    verdict = beside(*PV_BESIDE)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (ADVICE, "source_beside", 96.0, 80.0)
    assert terms(verdict) == {"supply_device": 80.0, "sources": 16.0}
    assert verdict.related == ("equipment.pv",)
    assert verdict.citation is not None
    assert not verdict.citation.is_stated_requirement


@pytest.mark.parametrize(("fuse_a", "outcome"), [(64.0, PASS), (65.0, ADVICE)])
def test_fuse_and_source_up_to_its_rating_comply(fuse_a: float, outcome: Outcome) -> None:
    assert beside(*PV_BESIDE, fuse_a=fuse_a).outcome is outcome


def test_devices_after_it_within_its_rating_protect_it_from_the_source_too() -> None:
    supply = everyday_supply(fuse_rated_current_a=80.0)
    verdict = load(rccb("r", rated_current_a=80.0), *ways(32.0, 32.0, 16.0), *PV_BESIDE, supply=supply)
    assert (verdict.outcome, verdict.case) == (PASS, "downstream_devices")


@pytest.mark.parametrize(("declared_a", "outcome"), [(96.0, PASS), (95.0, ADVICE)])
def test_a_declaration_covers_the_source_where_it_reaches(declared_a: float, outcome: Outcome) -> None:
    assert beside(*PV_BESIDE, declared_load_current_a=declared_a).outcome is outcome
    assert beside(*PV_BESIDE, rated_a=63.0, declared_load_current_a=declared_a).outcome is outcome


def test_a_source_behind_the_device_or_before_its_breaker_adds_nothing() -> None:
    behind = (breaker("p", fed_by="r", rated_current_a=20.0), circuit("cp", "p"), inverter("pv", "cp"))
    assert beside(*behind).case == "upstream_device"
    limited = load(breaker("up", rated_current_a=63.0), rccb("r", fed_by="up"), *ways(32.0, 40.0), *PV_BESIDE)
    assert (limited.outcome, limited.case) == (PASS, "upstream_device")


def test_a_source_of_another_board_at_the_origin_is_not_counted() -> None:
    other = (
        Board(id="sources", fed_by="supply"),
        breaker("p", board="sources", fed_by="sources"),
        circuit("cp", "p"),
        inverter("pv", "cp"),
    )
    assert beside(*other).case == "upstream_device"


# RAT-02


def delivering(name: str, on: str, amps: float) -> Equipment:
    return inverter(name, on, source=Source(kind=SourceKind.BATTERY, rated_current_a=amps))


def both(board: Board, *records: Any, **facts: Any) -> Verdict:
    return verdicts(BOTH_ENDS, house(board, *records, **facts))[board.id]


PV = (breaker("b", rated_current_a=16.0), circuit("c", "b"), inverter("pv", "c"))


@pytest.mark.parametrize(("rated_a", "outcome"), [(125.0, PASS), (116.0, PASS), (115.0, FAIL), (100.0, FAIL)])
def test_the_assembly_carries_the_fuse_and_the_sources(rated_a: float, outcome: Outcome) -> None:
    # 100 A + 16 A
    verdict = both(Board(id=BOARD, rated_current_a=rated_a), *PV)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "both_ends", 116.0, rated_a)
    assert terms(verdict) == {"supply_device": 100.0, "sources": 16.0}
    assert verdict.related == ("equipment.pv",)


def test_sources_on_different_lines_do_not_add() -> None:
    records = (
        breaker("b1"),
        circuit("c1", "b1", line="L1"),
        inverter("pv", "c1"),
        breaker("b2"),
        circuit("c2", "b2", line="L2"),
        delivering("bat", "c2", 20.0),
    )
    assert both(Board(id=BOARD, rated_current_a=125.0), *records, phases=3).value == 120.0
    three = (*records, breaker("b3", poles=4), circuit("c3", "b3", phases=3), delivering("pv3", "c3", 10.0))
    assert both(Board(id=BOARD, rated_current_a=125.0), *three, phases=3).value == 130.0


def test_an_incoming_breaker_limits_the_supply_side() -> None:
    head = breaker("head", fed_by=BOARD, rated_current_a=63.0)
    verdict = both(Board(id=BOARD, rated_current_a=80.0), head, *PV)
    assert (verdict.outcome, verdict.value) == (PASS, 79.0)


def test_an_incoming_breaker_counts_where_the_service_fuse_is_not_known() -> None:
    head = breaker("head", fed_by=BOARD, rated_current_a=63.0)
    supply = everyday_supply(fuse_rated_current_a=None)
    assert both(Board(id=BOARD, rated_current_a=80.0), head, *PV, supply=supply).value == 79.0


def test_a_source_in_a_further_board_loads_both_boards() -> None:
    records = (
        Board(id=BOARD, rated_current_a=100.0),
        breaker("f", rated_current_a=40.0),
        circuit("sub", "f"),
        Board(id="garage", fed_by="sub", rated_current_a=63.0),
        breaker("g", board="garage", fed_by="garage"),
        circuit("c", "g"),
        inverter("pv", "c"),
    )
    found = verdicts(BOTH_ENDS, house(*records))
    assert (found[BOARD].outcome, found[BOARD].value) == (FAIL, 116.0)
    # the garage board has one incomer, an overcurrent device of 32 A: 32 + 16
    assert (found["garage"].outcome, found["garage"].value) == (PASS, 48.0)


def test_a_board_without_sources_is_not_judged() -> None:
    assert verdicts(BOTH_ENDS, house(breaker("b"), circuit("c", "b"), item("i", "c"))) == {}


@pytest.mark.parametrize("name", ["garage", "tower"])
def test_a_board_that_no_source_feeds_through_is_not_judged_whatever_its_name(name: str) -> None:
    further = (circuit("sub", "f"), Board(id=name, fed_by="sub", rated_current_a=63.0))
    loads = (breaker("g", board=name, fed_by=name), circuit("d", "g"), item("i", "d"))
    home = house(Board(id=BOARD, rated_current_a=125.0), breaker("f"), *further, *loads, *PV)
    assert set(verdicts(BOTH_ENDS, home)) == {BOARD}


def test_the_assembly_is_undetermined_without_its_rating_or_the_fuse() -> None:
    assert both(Board(id=BOARD), *PV).missing == ("boards.main.rated_current_a",)
    supply = everyday_supply(fuse_rated_current_a=None)
    verdict = both(Board(id=BOARD, rated_current_a=125.0), *PV, supply=supply)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("supply.fuse_rated_current_a",))


# RAT-03


@pytest.mark.parametrize(("ways_of_board", "outcome"), [(6, PASS), (5, PASS), (4, FAIL)])
def test_devices_fit_when_their_modules_do_not_exceed_the_ways(ways_of_board: int, outcome: Outcome) -> None:
    # Main switch 2, RCCB of type B 3: common practice is one module more than a type A
    records = (Board(id=BOARD, ways=ways_of_board), switch(modules=2), rccb("r", "B", modules=3))
    verdict = verdicts(ROOM, house(*records))[BOARD]
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "modules", 5.0, ways_of_board)
    assert terms(verdict) == {MAIN_SWITCH: 2, "r": 3}


def test_room_is_a_matter_of_design_not_of_hazard() -> None:
    from trainer.domain.vocabulary import Consequence

    assert ROOM.consequence is Consequence.DESIGN
    assert not ROOM.citation.is_stated_requirement


def test_room_is_undetermined_without_ways_or_widths() -> None:
    bare = verdicts(ROOM, house(switch(modules=2)))[BOARD]
    assert (bare.outcome, bare.missing) == (UNKNOWN, ("boards.main.ways",))
    unknown = verdicts(ROOM, house(Board(id=BOARD, ways=6), switch(modules=2), breaker("b")))[BOARD]
    assert unknown.missing == ("devices.b.modules",)


@pytest.mark.parametrize("name", ["garage", "tower"])
def test_each_board_counts_its_own_devices_whatever_its_name(name: str) -> None:
    further = (Board(id=name, ways=4, fed_by="sub"), breaker("g", board=name, fed_by=name, modules=3))
    home = house(Board(id=BOARD, ways=6), switch(modules=2), breaker("f", modules=1), circuit("sub", "f"), *further)
    found = verdicts(ROOM, home)
    assert (found[BOARD].value, found[name].value) == (3.0, 3.0)
    assert terms(found[name]) == {"g": 3}


def test_an_empty_board_is_not_judged() -> None:
    found = verdicts(ROOM, house(Board(id="spare", ways=4), switch(modules=2)))
    assert "spare" not in found


def test_names_are_compared_by_their_letters_as_a_file_brings_them() -> None:
    # each name a string of its own, as a parser makes it
    name, line = "".join(["ma", "in"]), "".join(["L", "1"])
    board = Board(id=name, rated_current_a=115.0, ways=2)
    home = house(board, switch(modules=2), breaker("b", modules=1), circuit("c", "b", line=line), inverter("pv", "c"))
    assert (verdicts(BOTH_ENDS, home)[BOARD].value, verdicts(ROOM, home)[BOARD].value) == (116.0, 3.0)
