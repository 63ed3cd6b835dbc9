"""Blueprints: written, read, and refused with every problem at once."""

from __future__ import annotations

import json

import pytest

from trainer.domain.tasks import TaskKind
from trainer.services.papers.blueprint import Blueprint, BlueprintError, Slot, read_blueprint, write_blueprint

CHOOSE = Slot(kind=TaskKind.CHOOSE, level=2, objectives=("LO02", "LO13"), archetype="detached_new", marks=20)
ASK = Slot(kind=TaskKind.QUESTION, level=1, objectives=("LO03",), count=3, marks=2, pinned_seeds=(7,))


def test_a_blueprint_is_read_as_it_was_written() -> None:
    blueprint = Blueprint(slots=(CHOOSE, ASK), barred_seeds=(5, 2**63 - 1))
    assert read_blueprint(write_blueprint(blueprint)) == blueprint


def test_items_and_marks_count_every_task_of_a_slot() -> None:
    # By hand: 1 + 3 tasks; 20 + 3 * 2 marks.
    blueprint = Blueprint(slots=(CHOOSE, ASK))
    assert (blueprint.items, blueprint.marks) == (4, 26)
    assert [(each.position, each.number, each.copy) for each in blueprint.places()] == [
        (1, 1, 0),
        (2, 2, 0),
        (3, 2, 1),
        (4, 2, 2),
    ]


def test_every_problem_is_said_with_its_slot() -> None:
    slots = [
        {"kind": "choose", "level": 9, "objectives": ["LO99"]},
        {"kind": "guess", "level": "two"},
        {"kind": "question", "level": 1, "archetype": "farm", "count": 0},
    ]
    text = json.dumps({"format": "paper_blueprint", "version": 1, "slots": slots})
    with pytest.raises(BlueprintError) as caught:
        read_blueprint(text)
    assert {each.path for each in caught.value.problems} == {"part 2.kind", "part 2.level"}
    text = json.dumps({"format": "paper_blueprint", "version": 1, "slots": [slots[0], slots[2]]})
    with pytest.raises(BlueprintError) as caught:
        read_blueprint(text)
    assert {each.path for each in caught.value.problems} == {
        "part 1.level",
        "part 1.objectives",
        "part 2.count",
        "part 2.archetype",
    }


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": "paper_blueprint", "version": 1}', '{"slots": []}'])
def test_what_is_no_blueprint_is_refused(text: str) -> None:
    with pytest.raises(BlueprintError):
        read_blueprint(text)
