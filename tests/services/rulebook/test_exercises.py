"""Where rules are practised: the index tells the truth about the tasks that are made today.

When one of these fails after a change of generator, scenario data or rules, write the index again:
``.venv/bin/python -m trainer.services.rulebook.index``.
"""

from __future__ import annotations

from itertools import count
from random import Random
from types import SimpleNamespace

import pytest

from tests.services.rulebook_examples import IDS, RULES
from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import TaskKind
from trainer.services.rulebook.exercises import (
    asked_for,
    exercises_of,
    index,
    practice_task,
    rules_at_stake,
    traps_on,
    turns_on,
)
from trainer.services.rulebook.index import SEEDS, made_from, rule_index, written
from trainer.services.rulebook.limit_reading import limits_read
from trainer.services.scenarios import make_task, scenarios

STALE = "the index is stale: run python -m trainer.services.rule_index"
READINGS = {"VER-01", "VER-02", "OC-03"}
AT_STAKE = [rule_id for rule_id in IDS if exercises_of(rule_id).places]


def test_the_index_was_made_from_the_scenario_data_of_today() -> None:
    assert index()["made_from"] == made_from(scenarios()), STALE


def test_the_index_names_every_rule() -> None:
    assert list(index()["rules"]) == [rule.id for rule in ALL_RULES], STALE


@pytest.mark.parametrize("rule_id", IDS)
def test_the_index_names_the_limits_that_the_rule_reads(rule_id: str) -> None:
    assert exercises_of(rule_id).reads == limits_read(RULES[rule_id]), STALE


def test_the_index_knows_what_its_own_tasks_turn_on_today() -> None:
    draws = Random(20260415)
    for archetype in scenarios().archetypes.values():
        level, kind = draws.choice(archetype.levels), draws.choice(list(SEEDS))
        request = TaskRequest(seed=draws.randrange(SEEDS[kind]), level=level, archetype=archetype.id, kind=kind)
        for rule_id, decisions in rules_at_stake(make_task(request)).items():
            known = exercises_of(rule_id)
            where = {(place.kind, place.archetype, place.level) for place in known.places}
            assert (kind, archetype.id, level) in where, (rule_id, STALE)
            assert decisions <= set(known.decisions), (rule_id, STALE)


@pytest.mark.parametrize("rule_id", AT_STAKE)
def test_practise_this_gives_a_task_that_turns_on_the_rule(rule_id: str) -> None:
    seeds = count(7_000_000)
    task = practice_task(RULES[rule_id], make_task, lambda: next(seeds))
    assert task is not None, STALE
    assert turns_on(task, RULES[rule_id])


@pytest.mark.parametrize("rule_id", AT_STAKE)
def test_the_task_that_the_index_knows_turns_on_the_rule(rule_id: str) -> None:
    place = exercises_of(rule_id).best[0]
    assert turns_on(make_task(asked_for(place, place.seed)), RULES[rule_id]), STALE


def test_there_is_practice_for_residual_current_chargers_earthing_and_readings() -> None:
    assert {"RCD-01", "RCD-06", "RCD-07", "EV-08", "EV-04", "GEN-04", "OC-01", "OC-02", "SPD-01"} | READINGS <= set(
        AT_STAKE
    )


def test_a_rule_that_nothing_turns_on_gives_no_task() -> None:
    assert practice_task(RULES["LAB-02"], make_task, lambda: 1) is None


def test_traps_of_a_rule_are_those_that_name_it() -> None:
    named = traps_on("EV-08", scenarios().traps)
    assert named
    assert all("EV-08" in each.rules for each in named)


def test_the_index_is_the_same_twice_and_has_a_line_for_each_rule() -> None:
    data = scenarios()
    one = SimpleNamespace(
        archetypes={name: data.archetypes[name] for name in list(data.archetypes)[:1]},
        traps=data.traps,
        decisions=data.decisions,
    )
    text = written(rule_index(one, seeds={TaskKind.CHOOSE: 1}))  # type: ignore[arg-type]
    assert text == written(rule_index(one, seeds={TaskKind.CHOOSE: 1}))  # type: ignore[arg-type]
    assert all(text.count(f'\n  "{rule_id}": ') == 1 for rule_id in IDS)
