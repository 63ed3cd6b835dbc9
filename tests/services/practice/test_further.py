"""One more question on a missed point: which family is offered, by belief, rule, objective and level."""

from __future__ import annotations

import pytest

from trainer.domain.questions.families import ALL_FAMILIES
from trainer.services.practice.further import question_on

LEVELS = range(1, 6)


def test_of_equally_near_families_the_one_of_the_level_of_the_task_is_offered():
    # Leakage at a shared device is asked for at level 2, as an order of devices at 4, in a tree at 5.
    offered = {level: question_on("M36", ("RCD-05",), ("LO04",), level) for level in LEVELS}
    levels = {level: family.level for level, family in offered.items() if family is not None}
    assert levels == {1: 2, 2: 2, 3: 2, 4: 4, 5: 5}


def test_without_a_level_the_easiest_is_offered():
    assert question_on("M36", ("RCD-05",), ("LO04",)) == question_on("M36", ("RCD-05",), ("LO04",), 1)


def test_the_belief_counts_more_than_the_level():
    found = question_on("M42", ("BON-01",), ("LO43",), 5)
    assert found is not None
    assert "M42" in found.misconceptions


@pytest.mark.parametrize("family", [each for each in ALL_FAMILIES if each.level == 5], ids=lambda each: each.id)
def test_every_family_of_the_hardest_level_is_found_from_a_task_of_that_level(family):
    beliefs = (*family.misconceptions, None)
    found = [question_on(belief, family.rules, family.objectives, 5) for belief in beliefs]
    assert family in found


def test_most_families_are_found_by_what_they_are_about():
    found = {
        question_on(belief, family.rules, family.objectives, level)
        for family in ALL_FAMILIES
        for level in LEVELS
        for belief in (*family.misconceptions, None)
    }
    assert len(found & set(ALL_FAMILIES)) >= 0.95 * len(ALL_FAMILIES)


def test_where_nothing_touches_the_point_no_question_is_offered():
    assert question_on(None, (), (), 5) is None
