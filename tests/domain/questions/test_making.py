"""From a seed to a question: the same every time, refused with a reason where it cannot be."""

from __future__ import annotations

import pytest

from trainer.domain.errors import OutOfRangeError, UnknownNameError
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.making import fitting, made_question, make_question
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.scenarios import scenarios

DATA = scenarios()


def test_the_same_seed_gives_the_same_question():
    assert make_question(7, DATA) == make_question(7, DATA)


def test_a_question_is_the_same_whether_its_family_was_drawn_or_named():
    drawn = make_question(11, DATA)
    assert make_question(11, DATA, family=drawn.archetype) == drawn


def test_seeds_draw_many_families():
    assert len({make_question(seed, DATA).archetype for seed in range(200)}) > 50


def test_objectives_and_level_narrow_the_draw():
    for seed in range(20):
        task = make_question(seed, DATA, objectives=("LO05",), level=2)
        assert "LO05" in task.asks[0].objectives
        assert task.level == 2


def test_a_seed_below_zero_is_refused():
    with pytest.raises(OutOfRangeError, match="seed: must be from 0 to 9223372036854775807"):
        make_question(-1, DATA)


def test_an_unknown_family_names_the_nearest():
    with pytest.raises(UnknownNameError, match="nearest: leakage_left_to_use"):
        make_question(1, DATA, family="leakage_left_to_us")


def test_an_unknown_objective_names_the_possible_ones():
    with pytest.raises(UnknownNameError, match="unknown objective"):
        make_question(1, DATA, objectives=("LO99",))


def test_an_objective_and_a_level_that_never_meet_name_the_levels_there_are():
    with pytest.raises(UnknownNameError, match=r"no family has LO48 at this level .*possible: 1, 2"):
        make_question(1, DATA, objectives=("LO48",), level=5)


@pytest.mark.parametrize("edition", list(Edition))
def test_questions_can_be_asked_under_each_edition(edition):
    for family in fitting(edition):
        assert make_question(3, DATA, edition, family=family.id).edition is edition


def test_every_family_holds_in_the_default_edition():
    assert fitting(DEFAULT_EDITION) == ALL_FAMILIES


def test_few_draws_are_thrown_away():
    redraws = [len(made_question(seed, DATA, family=each.id).redraws) for each in ALL_FAMILIES for seed in range(10)]
    assert sum(redraws) / len(redraws) < 0.5
