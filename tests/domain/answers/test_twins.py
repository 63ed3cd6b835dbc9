"""Branches that speak for one another: what is found with them is what is found without."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from tests.bench.boards import board, open_decisions
from tests.domain.answers.toy import toy_rule
from tests.domain.houses import changed, charger, circuit, house, item, rcbo
from trainer.domain.answers import conditions
from trainer.domain.answers.conditions import Bench, Forbidden
from trainer.domain.answers.decisions import Decision, Edit, Option, apply
from trainer.domain.answers.solver import solve
from trainer.domain.answers.twins import Twins, twins
from trainer.domain.devices import Device
from trainer.domain.findings import Verdict, holds
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Over, Rule, judge
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, DeviceKind, RcdType

TYPES = tuple(RcdType)


def type_of(way: str) -> Decision:
    path = f"devices.{way}.rcd_type"
    options = tuple(Option(id=each, label=each, edits=(Edit(path=path, value=each),)) for each in TYPES)
    return Decision(id=path, subject=f"devices.{way}", question="?", options=options)


def two_branches(second: Device | None = None) -> Installation:
    return house(
        rcbo("one"), circuit("c1", "one"), item("e1", "c1"),
        second or rcbo("two"), circuit("c2", "two"), item("e2", "c2"),
    )  # fmt: skip


def one_by_one(of: Installation, decisions: tuple[Decision, ...], rules: tuple[Rule, ...]) -> Forbidden:
    """What is forbidden when no branch speaks for another."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(conditions, "twins", lambda *_: Twins({}, ()))
        return Bench(of, decisions, rules, DEFAULT_EDITION).forbidden()


def test_the_whole_open_board_forbids_the_same_with_and_without_twins() -> None:
    decisions = open_decisions()
    found = Bench(board(), decisions, ALL_RULES, DEFAULT_EDITION).forbidden()
    assert found == one_by_one(board(), decisions, ALL_RULES)


def test_branches_alike_but_for_names_are_twins() -> None:
    found = twins(two_branches(), (type_of("one"), type_of("two")))
    assert {path: [each.path for each in later] for path, later in found.of.items()} == {
        "devices.one": ["devices.two"],
        "circuits.c1": ["circuits.c2"],
        "equipment.e1": ["equipment.e2"],
    }
    assert found.watched == ()
    assert found.of["devices.one"][0].exchange == {0: 1, 1: 0}


def _wider_than(subject: Device, _house: Installation, _limits: Limits) -> Verdict | None:
    if subject.kind is not DeviceKind.RCBO:
        return None
    return holds(subject.rated_current_a < 40 or subject.rcd_type is RcdType.B)


def _type_only(subject: Device, _house: Installation, _limits: Limits) -> Verdict | None:
    return None if subject.rcd_type is None else holds(subject.rcd_type is not RcdType.AC)


READS_RATING = toy_rule("TOY-5", Over.DEVICES, Consequence.SHOCK, _wider_than)
READS_TYPE = toy_rule("TOY-6", Over.DEVICES, Consequence.SHOCK, _type_only)


def test_a_rule_that_reads_what_differs_is_run_on_both() -> None:
    decisions = (type_of("one"), type_of("two"))
    different = two_branches(rcbo("two", rated_current_a=40.0))
    assert [each.id for each in twins(different, decisions).watched] == [
        "devices.one.rated_current_a",
        "devices.two.rated_current_a",
    ]
    forbidden = Bench(different, decisions, (READS_RATING,), DEFAULT_EDITION).forbidden()
    assert set(forbidden) == {frozenset({(1, number)}) for number in range(3)}


def test_a_rule_that_does_not_read_what_differs_is_run_once() -> None:
    runs: list[str] = []

    def counted(subject: Device, of: Installation, limits: Limits) -> Verdict | None:
        runs.append(subject.id)
        return _type_only(subject, of, limits)

    different = two_branches(rcbo("two", rated_current_a=40.0))
    decisions = (type_of("one"), type_of("two"))
    forbidden = Bench(different, decisions, (replace(READS_TYPE, judge=counted),), DEFAULT_EDITION).forbidden()
    assert set(forbidden) == {frozenset({(0, 0)}), frozenset({(1, 0)})}
    assert "two" not in runs


def test_a_branch_that_a_decision_names_has_no_twin() -> None:
    path = "devices.main_switch.fed_by"
    names_it = Decision(
        id="place",
        subject="devices.main_switch",
        question="?",
        options=(Option(id="below", label="below", edits=(Edit(path=path, value="two"),)),),
    )
    assert twins(two_branches(), (type_of("one"), type_of("two"), names_it)).of == {}


def test_a_decision_that_reaches_into_two_branches_leaves_neither_a_twin() -> None:
    first = type_of("one")
    both = changed(
        first,
        options=tuple(
            changed(each, edits=(*each.edits, Edit(path="devices.two.rcd_type", value=each.edits[0].value)))
            for each in first.options
        ),
    )
    assert twins(two_branches(), (both,)).of == {}


def test_a_device_that_feeds_two_circuits_is_no_branch() -> None:
    shared = house(rcbo("one"), circuit("c1", "one"), circuit("c2", "one"), rcbo("two"), circuit("c3", "two"))
    assert twins(shared, (type_of("one"), type_of("two"))).of == {}


@pytest.mark.parametrize("second", ["charger", "item"])
def test_with_the_whole_book_twins_accept_what_judging_each_proposal_accepts(second: str) -> None:
    load = charger if second == "charger" else item
    of = house(
        rcbo("one"), circuit("c1", "one"), charger("e1", "c1", rated_current_a=10.0),
        rcbo("two"), circuit("c2", "two"), load("e2", "c2", rated_current_a=10.0),
        rcbo("three"), circuit("c3", "three"), charger("e3", "c3", rated_current_a=10.0),
    )  # fmt: skip
    decisions = tuple(type_of(way) for way in ("one", "two", "three"))
    solution = solve(of, decisions, ALL_RULES)
    for choice in product(TYPES, repeat=3):
        proposal = {each.id: option for each, option in zip(decisions, choice, strict=True)}
        complies = not any(finding.fails for finding in judge(apply(of, decisions, proposal), ALL_RULES))
        assert solution.accepts(proposal) == complies
