"""What a refresher asks, in which order, and that it is the same whenever it is asked for."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from trainer.domain.generator.exercised import exercised
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import TaskKind
from trainer.domain.vocabulary import Edition
from trainer.services.programmes.changes import changes_between, touched_since
from trainer.services.programmes.drawing import drawn, planned, ranked, seed_of
from trainer.services.programmes.errors import RefresherError
from trainer.services.programmes.records import Share
from trainer.services.scenarios import make_task

AT = datetime(2026, 5, 4, tzinfo=UTC)
REQUIRED = ("LO02", "LO05", "LO10", "LO20", "LO24")


def share(name: str, marks: int, available: int = 10, days: int = 0, belief: str | None = None) -> Share:
    return Share(
        objective_id=name,
        marks=marks,
        marks_available=available,
        last_at=AT + timedelta(days=days),
        misconception_id=belief,
    )


def test_what_changed_comes_first_then_what_was_missed_most_then_what_was_never_asked() -> None:
    shares = {"LO02": share("LO02", 10), "LO05": share("LO05", 7), "LO10": share("LO10", 2)}
    order = [name for name, _ in ranked(REQUIRED, shares, frozenset({"LO20"}), seed=1)]
    assert order == ["LO20", "LO10", "LO05", "LO24", "LO02"]


def test_of_what_was_right_the_one_longest_ago_comes_first() -> None:
    shares = {"LO02": share("LO02", 10, days=5), "LO05": share("LO05", 10, days=1), "LO10": share("LO10", 10, days=9)}
    assert [name for name, _ in ranked(("LO02", "LO05", "LO10"), shares, frozenset(), 1)] == ["LO05", "LO02", "LO10"]


@pytest.mark.parametrize("items", [1, 3, 8, 12])
def test_at_most_half_of_a_refresher_are_houses_and_every_objective_has_its_turn(items: int) -> None:
    plan = planned(REQUIRED, {}, frozenset(), tuple(TaskKind), items, seed=3)
    assert len(plan) == items
    assert sum(each.kind is not TaskKind.QUESTION for each in plan) <= max(1, items // 2)
    assert len({each.objective_id for each in plan}) == min(items, len(REQUIRED))
    if items >= 8:
        assert {each.kind for each in plan} == set(TaskKind)


def test_a_programme_without_questions_asks_houses_only() -> None:
    plan = planned(REQUIRED, {}, frozenset(), (TaskKind.CHOOSE,), 4, seed=3)
    assert {each.kind for each in plan} == {TaskKind.CHOOSE}


def test_nothing_required_is_said() -> None:
    with pytest.raises(RefresherError, match="none is required"):
        planned((), {}, frozenset(), tuple(TaskKind), 4, seed=1)


def test_the_same_person_and_number_give_the_same_tasks_and_the_next_number_others() -> None:
    def refresher(number: int) -> list[tuple[str, int]]:
        seed = seed_of("an-assignment", number)
        plan = planned(REQUIRED, {}, frozenset(), tuple(TaskKind), 4, seed)
        return [(each.archetype, each.seed) for each in drawn(plan, make_task, 1, frozenset(REQUIRED), seed)]

    assert refresher(1) == refresher(1)
    assert refresher(1) != refresher(2)


def test_every_task_turns_on_an_objective_that_is_required() -> None:
    seed = seed_of("another", 1)
    plan = planned(REQUIRED, {}, frozenset(), tuple(TaskKind), 8, seed)
    tasks = drawn(plan, make_task, 2, frozenset(REQUIRED), seed)
    assert all(exercised(task) & set(REQUIRED) for task in tasks)
    # A question asks for exactly what was planned.
    assert all(
        each.objective_id in exercised(task)
        for each, task in zip(plan, tasks, strict=True)
        if each.kind is TaskKind.QUESTION
    )


def test_a_belief_that_showed_is_asked_for() -> None:
    family = next(each for each in ALL_FAMILIES if "LO05" in each.objectives and each.misconceptions)
    belief = family.misconceptions[0]
    plan = planned(("LO05",), {"LO05": share("LO05", 0, belief=belief)}, frozenset(), (TaskKind.QUESTION,), 1, 1)
    (task,) = drawn(plan, make_task, family.level, frozenset({"LO05"}), 1)
    asked = next(each for each in ALL_FAMILIES if each.id == task.archetype)
    assert belief in asked.misconceptions


def test_an_edition_touches_the_objectives_of_its_new_rules() -> None:
    """By hand from scenarios/rulebook and the book: A4 brought stationary batteries (BAT-02) and GEN-02."""
    touched = {each.objective_id: each.rules for each in changes_between(Edition.A3_2024, Edition.A4_2026).touched}
    assert "BAT-02" in touched["LO24"]
    assert "GEN-02" in touched["LO20"]
    assert touched_since("A3:2024", "A4:2026") == set(touched)


def test_nothing_is_touched_where_nothing_can_be_compared() -> None:
    assert touched_since(None, "A4:2026") == frozenset()
    assert touched_since("A4:2026", "A4:2026") == frozenset()
    assert touched_since("a book of another trade", "A4:2026") == frozenset()


def test_the_order_of_the_editions_does_not_matter() -> None:
    one, other = changes_between(Edition.A2_2022, Edition.A4_2026), changes_between(Edition.A4_2026, Edition.A2_2022)
    assert one.touched == other.touched
    assert one.comparison.earlier is other.comparison.earlier is Edition.A2_2022
