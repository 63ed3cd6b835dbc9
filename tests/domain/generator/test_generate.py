"""Single scenarios: what every one of them holds, whatever its seed."""

from __future__ import annotations

import re
from itertools import chain

import pytest

from tests.domain.generator.drawn import LEVELS, findings, task, with_choices
from trainer.domain.tasks import SheetKind, Task
from trainer.domain.vocabulary import Outcome
from trainer.services.answering import solution_of
from trainer.services.scenarios import scenarios

SEEDS = range(40)
CASES = [(seed, level) for level in LEVELS for seed in SEEDS]


def all_texts(one: Task) -> list[str]:
    sheets = [[s.title, *s.notes, *chain.from_iterable((r.label, r.value, r.unit) for r in s.rows)] for s in one.pack]
    asked = [[d.question, *(o.label for o in d.options)] for d in one.decisions]
    return [one.title, one.story, *chain.from_iterable(sheets), *chain.from_iterable(asked)]


def test_the_same_seed_gives_an_equal_task():
    from trainer.domain.generator.generate import generate
    from trainer.domain.generator.request import TaskRequest

    request = TaskRequest(seed=77, level=4)
    assert generate(request, scenarios()) == generate(request, scenarios())


def test_a_task_of_level_1_asks_one_thing():
    assert {len(task(seed, 1).decisions) for seed in SEEDS} == {1}


@pytest.mark.parametrize("archetype", sorted(scenarios().archetypes))
def test_every_archetype_makes_tasks_of_each_of_its_levels(archetype):
    for level in scenarios().archetypes[archetype].levels:
        assert task(5, level, archetype).archetype == archetype


def test_no_two_decisions_set_the_same_path_and_all_options_of_one_set_the_same():
    for seed, level in CASES:
        one = task(seed, level)
        paths = [path for decision in one.decisions for path in decision.paths]
        assert len(paths) == len(set(paths))
        for decision in one.decisions:
            assert {tuple(edit.path for edit in option.edits) for option in decision.options} == {decision.paths}


def test_every_decision_offers_at_least_two_options_with_different_labels_and_ids():
    for seed, level in CASES:
        for decision in task(seed, level).decisions:
            assert len(decision.options) >= 2
            assert len({option.id for option in decision.options}) == len(decision.options)
            assert len({option.label for option in decision.options}) == len(decision.options), decision.id


def test_the_right_option_is_not_always_in_the_same_place():
    places = {
        decision.id.rpartition(".")[2]: set[int]() for seed, level in CASES for decision in task(seed, level).decisions
    }
    for seed, level in CASES:
        one = task(seed, level)
        for decision in one.decisions:
            ids = [option.id for option in decision.options]
            places[decision.id.rpartition(".")[2]].add(ids.index(one.key.intended[decision.id]))
    assert len(places["type"]) >= 3
    assert len(places["way"]) >= 2
    assert len(places["rating"]) >= 2


def test_numbers_are_offered_in_rising_order():
    for seed, level in CASES:
        for decision in task(seed, level).decisions:
            if decision.id.rpartition(".")[2] in ("rating", "cable", "capacity", "poles", "bonding", "assembly"):
                values = [float(option.id) for option in decision.options]
                assert values == sorted(values)


def test_nothing_of_the_answer_is_left_in_the_house():
    for seed, level in CASES:
        one = task(seed, level)
        first = {decision.id: decision.options[0].id for decision in one.decisions}
        assert one.house == with_choices(one, first)


def test_the_pack_holds_one_supply_record_one_survey_and_sheets_that_say_they_are_invented():
    for seed, level in CASES:
        pack = task(seed, level).pack
        kinds = [sheet.kind for sheet in pack]
        assert (kinds.count(SheetKind.SUPPLY_RECORD), kinds.count(SheetKind.SURVEY)) == (1, 1)
        assert all(any("nvented" in note for note in sheet.notes) for sheet in pack)


def test_no_text_is_empty_or_keeps_a_placeholder_or_a_python_word():
    for seed, level in CASES:
        for text in all_texts(task(seed, level)):
            assert not re.search(r"[{}]|\bNone\b|\bTrue\b|\bFalse\b|_", text), text


def test_objectives_of_decisions_are_those_of_the_list():
    known = {f"LO{number:02d}" for number in range(1, 49)}
    for seed, level in CASES:
        for decision in task(seed, level).decisions:
            assert decision.objectives
            assert set(decision.objectives) <= known


@pytest.mark.parametrize("level", LEVELS)
def test_the_solver_accepts_the_intended_proposal_and_refuses_every_trap(level):
    for seed in range(8):
        one = task(seed, level)
        solution = solution_of(one)
        assert solution.accepts(one.key.intended)
        for trap in one.key.traps:
            assert not solution.accepts({**one.key.intended, trap.decision: trap.option})


def test_no_single_choice_leaves_a_rule_without_the_facts_that_it_needs():
    for seed, level in [(seed, level) for level in LEVELS for seed in range(5)]:
        one = task(seed, level)
        for decision in one.decisions:
            for option in decision.options:
                for finding in findings(with_choices(one, {decision.id: option.id})):
                    assert finding.outcome is not Outcome.UNDETERMINED, (one.seed, decision.id, option.id, finding)
