"""Results on paper of somebody whose marks staff changed: the same numbers as on the screen, and the plan stays."""

from __future__ import annotations

from flask import Flask

from tests.web.papers.conftest import (
    app,
    box,
    browser_of,
    clock,
    college,
    drawn_at_once,
    lecturer,
    made,
    moved,
    with_tasks,
)
from tests.web.papers.sitters import sat
from tests.web.people.conftest import Browser
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.jobs.own_results import results_job_id
from trainer.web.files.results import own_results
from trainer.web.plan.wired import planning

__all__ = ["app", "box", "browser_of", "clock", "college", "drawn_at_once", "lecturer"]


def test_marks_that_were_changed_by_hand_count_on_paper_as_on_the_screen(
    app: Flask,
    lecturer: Browser,
    browser_of,
    storage: SqlStorage,
) -> None:
    paper = made(lecturer)
    paper_id = paper.rpartition("/")[2]
    with_tasks(lecturer, paper)
    moved(lecturer, paper, "locked", 2)
    moved(lecturer, paper, "open", 3)
    sitting = sat(app, storage, paper_id, "learner-4", {1: False, 2: False, 3: False})
    moved(lecturer, paper, "closed", 4)
    changed = {"marks": "10", "reason": "the sheet could be read both ways"}
    answer = lecturer.post(f"/papers/sittings/{sitting.id}/marks/1", changed, page="/papers/new")
    assert answer.status_code == 303
    moved(lecturer, paper, "moderated", 5)
    moved(lecturer, paper, "released", 6)
    with storage.scopes(paper_repositories).reading() as stored:
        assert stored.papers.get("college", paper_id).state == "released"
    learner = browser_of("learner-4")
    assert "Missed the last time" in learner.get("/plan").text
    with storage.scopes(people_repositories).reading() as stored:
        learner_id = stored.people.get("learner-4").learner_id
    with app.app_context():
        on_screen = planning().plan(learner_id)
    assert max(each.marks for each in on_screen.standings.values()) > 0
    learner.post("/my-results", {}, page="/my-results")
    with storage.scopes(job_repositories).reading() as stored:
        job = stored.jobs.get(None, results_job_id(learner_id))
    with app.test_request_context():
        on_paper = own_results(job).plan
        assert on_paper.standings == on_screen.standings
        assert planning().plan(learner_id).cards == on_screen.cards
