"""A slot that is hardly ever met: no page looks through more tasks than it has time for; the runner tells the rest."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest
from flask import Flask

from tests.web.papers.conftest import TASKS, made, moved
from tests.web.people.conftest import Browser
from tests.web.taking import Run
from trainer.domain.tasks import Task, TaskKind
from trainer.services.papers import variants
from trainer.services.papers.blueprint import Blueprint, BlueprintError, Slot
from trainer.services.papers.variants import TRIES_AT_ONCE, draw_items, trial_of
from trainer.services.scenarios import make_task
from trainer.web.papers.background import SWITCH


@dataclass
class Made:
    """Tasks that were made, each at once the same; ``met_from`` is the number from which they meet their slot."""

    task: Task
    number: int = 0
    met_from: int = 10**9

    def make(self, _request: object) -> Task:
        self.number += 1
        return self.task

    def exercised(self, _task: Task) -> frozenset[str]:
        return frozenset({"LO02"}) if self.number >= self.met_from else frozenset()


@pytest.fixture
def counting(monkeypatch: pytest.MonkeyPatch) -> Made:
    """Nothing is met, and making a task costs nothing."""
    slot = Slot(kind=TaskKind.CHOOSE, level=1, objectives=(), archetype="semi")
    counted = Made(make_task(variants._request(slot, 1)))
    monkeypatch.setattr(variants, "make_task", counted.make)
    monkeypatch.setattr(variants, "exercised", counted.exercised)
    return counted


def told(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", "", page).split())


def blueprint(slots: int) -> Blueprint:
    return Blueprint(slots=tuple(Slot(kind=TaskKind.CHOOSE, level=1, objectives=("LO02",)) for _ in range(slots)))


def test_all_slots_of_a_paper_share_the_tries_of_one_page(counting: Made) -> None:
    tried = trial_of(blueprint(5), "key")
    assert counting.number == TRIES_AT_ONCE
    assert (tried.problems, tried.rare) == ((), (1, 2, 3, 4, 5))


def test_tasks_of_one_slot_are_tried_for_and_named_once(counting: Made) -> None:
    slot = Slot(kind=TaskKind.CHOOSE, level=1, objectives=("LO02",), count=3)
    assert trial_of(Blueprint(slots=(slot,)), "key").rare == (1,)


def test_a_slot_that_is_met_within_them_is_neither_rare_nor_a_problem(counting: Made) -> None:
    counting.met_from = TRIES_AT_ONCE
    tried = trial_of(blueprint(1), "key")
    assert (tried.problems, tried.rare) == ((), ())
    counting.number, counting.met_from = 0, TRIES_AT_ONCE + 1
    assert trial_of(blueprint(1), "other").rare == (1,)


def test_the_runner_tries_three_times_as_many_and_names_the_slot_then(counting: Made) -> None:
    counting.met_from = 3 * TRIES_AT_ONCE
    assert len(draw_items(blueprint(1), "late", 1)) == 1
    counting.met_from = 10**9
    with pytest.raises(BlueprintError, match=r"part 1: objectives.*not met in 600 tasks"):
        draw_items(blueprint(1), "never", 1)


def test_what_no_question_is_about_is_a_problem_at_once_and_costs_no_try(counting: Made) -> None:
    slot = Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO39", "LO01", "LO03"))
    tried = trial_of(Blueprint(slots=(slot,)), "key")
    assert [each.path for each in tried.problems] == ["part 1: objectives"]
    assert (tried.rare, counting.number) == ((), 0)


def test_the_page_says_that_a_slot_is_rare_and_after_locking_that_nothing_was_found(
    lecturer: Browser, app: Flask, run: Run, counting: Made
) -> None:
    app.config[SWITCH] = True
    address = made(lecturer)
    one = {"slots": "1", **{name: value for name, value in TASKS.items() if name.startswith("slot-1")}, "do": "save"}
    saved = lecturer.post(f"{address}/tasks", {**one, "revision": "1"}, page="/papers/new", follow_redirects=True)
    assert "Part 1 asks for something rare: not met in the first 200 tasks" in saved.text
    assert moved(lecturer, address, "locked", 2).status_code == 303
    run()
    page = told(lecturer.get(address).text)
    assert "not met in 600 tasks" in page
    assert "Nobody could sit this paper. Take it back to a draft" in page
    early = moved(lecturer, address, "open", 3)
    assert (early.status_code, "part 1 no task was found for it yet" in told(early.text)) == (400, True)
    assert moved(lecturer, address, "draft", 3).status_code == 303


def test_a_rare_slot_that_the_runner_met_opens(lecturer: Browser, app: Flask, run: Run, counting: Made) -> None:
    app.config[SWITCH] = True
    counting.met_from = TRIES_AT_ONCE + 1
    address = made(lecturer)
    one = {"slots": "1", **{name: value for name, value in TASKS.items() if name.startswith("slot-1")}, "do": "save"}
    lecturer.post(f"{address}/tasks", {**one, "revision": "1"}, page="/papers/new", follow_redirects=True)
    counting.number = 0
    assert moved(lecturer, address, "locked", 2).status_code == 303
    run()
    counting.number, counting.met_from = 0, 10**9
    assert moved(lecturer, address, "open", 3).status_code == 303
