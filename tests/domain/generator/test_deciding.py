"""Nothing is asked that no option can fail: each decision has a part in something that a rule forbids."""

from __future__ import annotations

import pytest

from tests.domain.generator.drawn import LEVELS, made, task
from trainer.domain.answers.conditions import Bench
from trainer.domain.generator.evening import STEPS
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task
from trainer.services.scenarios import scenarios

SEEDS = range(4_000, 4_060)


def idle(one: Task) -> set[str]:
    """The decisions that no forbidden combination names, by what the solver finds: the second route."""
    bench = Bench(one.house, one.decisions, ALL_RULES, one.edition)
    named = {number for combination in bench.forbidden() for number, _ in combination}
    return {each.id for number, each in enumerate(one.decisions) if number not in named}


@pytest.mark.parametrize("level", LEVELS)
def test_every_decision_can_be_taken_wrongly(level):
    assert [(seed, idle(task(seed, level))) for seed in SEEDS if idle(task(seed, level))] == []


def test_what_is_not_asked_because_nothing_depends_on_it_is_told():
    # The survey names the route of generation wherever it is no decision, and the capacity of each device.
    told = 0
    for seed in SEEDS:
        one = task(seed, 4)
        survey = next(sheet for sheet in one.pack if sheet.id == "survey")
        route = one.house.network.generation_route
        if route is not None and not any(each.id.endswith("generation_route") for each in one.decisions):
            assert any(route in note for note in survey.notes), seed
            told += 1
    assert told > 0


def test_few_draws_are_thrown_away_for_want_of_something_to_decide():
    reasons = [reason for level in LEVELS for seed in SEEDS for reason in made(seed, level).redraws]
    assert sum(reason.startswith("steps") for reason in reasons) < 0.1 * len(SEEDS) * len(LEVELS)


def test_every_kind_of_decision_of_the_data_has_rules_that_it_is_tried_with():
    from trainer.domain.generator.deciding import RULES
    from trainer.domain.generator.judging import RULE_BY_ID

    assert set(RULES) == set(scenarios().decisions)
    assert {rule for rules in RULES.values() for rule in rules} <= set(RULE_BY_ID)
    assert set(STEPS) == set(LEVELS)
