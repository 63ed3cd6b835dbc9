"""Tasks for given objectives: what is asked for is exercised, what cannot be had says so."""

from __future__ import annotations

import pytest

from trainer.domain.errors import UnknownNameError
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.generate import GENERATOR_VERSION, OlderSeedError
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import TaskKind
from trainer.services.practice.drawing import ImpossibleDrawError, reachable
from trainer.services.scenarios import make_task, scenarios

LEVELS = (1, 2, 3, 4, 5)


@pytest.mark.parametrize("level", LEVELS)
def test_each_objective_that_a_level_can_exercise_is_drawn_on_request(level):
    for objective in sorted(reachable(TaskKind.CHOOSE, level, scenarios())):
        assert objective in exercised(make_task(TaskRequest(seed=3, level=level, objectives=(objective,))))


def test_a_task_drawn_for_an_objective_is_what_its_own_seed_gives():
    drawn = make_task(TaskRequest(seed=11, level=1, objectives=("LO46",)))
    assert drawn == make_task(TaskRequest(seed=drawn.seed, level=1))


def test_the_same_request_draws_the_same_task():
    request = TaskRequest(seed=5, level=3, objectives=("LO05",))
    assert make_task(request) == make_task(request)


def test_an_objective_of_a_higher_level_is_refused_with_the_levels_that_have_it():
    with pytest.raises(ImpossibleDrawError, match="level 4, 5 can"):
        make_task(TaskRequest(seed=1, level=1, objectives=("LO43",)))


def test_an_objective_that_this_kind_never_exercises_is_refused_with_the_kinds_that_might():
    with pytest.raises(ImpossibleDrawError, match="at no level; ask for kind question, inspect or measure"):
        make_task(TaskRequest(seed=1, level=4, objectives=("LO48",)))


def test_an_unknown_objective_is_refused_with_the_nearest():
    with pytest.raises(UnknownNameError, match="nearest: LO4"):
        make_task(TaskRequest(seed=1, objectives=("LO49",)))


@pytest.mark.parametrize("kind", [TaskKind.INSPECT, TaskKind.QUESTION])
def test_other_kinds_are_drawn_for_objectives_too(kind):
    assert "LO48" in exercised(make_task(TaskRequest(seed=2, level=3, kind=kind, objectives=("LO48",))))


def test_a_seed_of_an_older_generator_says_what_can_be_done():
    with pytest.raises(OlderSeedError, match="A stored task still opens"):
        make_task(TaskRequest(seed=1, generator_version="1"))


def test_a_seed_of_this_generator_is_made():
    assert make_task(TaskRequest(seed=1, generator_version=GENERATOR_VERSION)).seed == 1
