"""The work of the runners as whoever runs the site sees it, on a page and in the metrics."""

from __future__ import annotations

from flask import Flask

from tests.services.jobs.world import job
from tests.web.people.conftest import Browser, Clock, app, box, browser_of, build, clock
from tests.web.people.test_operators import operator
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.jobs.daily import ask_for_today
from trainer.services.jobs.running import Runner
from trainer.services.operation.words import JobState
from trainer.services.privacy.daily import KIND, Clearing
from trainer.services.privacy.retention import Retention
from trainer.services.programmes.daily import KIND as REMINDING

__all__ = ["app", "box", "browser_of", "clock", "operator"]


def cleared(storage: SqlStorage, clock: Clock) -> None:
    """A day's clearing, as the runner does it."""
    retention = Retention(storage=storage.scopes(privacy_repositories), now=clock, new_id=lambda: "unused")
    scopes = storage.scopes(job_repositories)
    ask_for_today(scopes, KIND, clock())
    assert Runner(storage=scopes, works={KIND: Clearing(lambda: retention)}, now=clock, new_id=lambda: "one").step()


def test_an_operator_sees_what_waits_and_what_was_cleared_day_by_day(
    operator: Browser, storage: SqlStorage, clock: Clock, browser_of
) -> None:
    build(storage, "college")
    assert "not done in the last fortnight" in operator.get("/operator/work").text
    cleared(storage, clock)
    with storage.scopes(job_repositories).writing() as stored:
        stored.jobs.add(job(kind="paper.print"))
    page = operator.get("/operator/work").text
    assert "2026-11-02" in page
    assert "done" in page
    assert "paper.print" in page
    assert browser_of("college-administrator").get("/operator/work").status_code == 403


def test_metrics_tell_what_waits_and_when_data_was_last_cleared(app: Flask, storage: SqlStorage, clock: Clock) -> None:
    client = app.test_client()
    assert "trainer_retention" not in client.get("/metrics").text
    cleared(storage, clock)
    with storage.scopes(job_repositories).writing() as stored:
        stored.jobs.add(job(kind="paper.print"))
    found = client.get("/metrics").text
    assert 'trainer_jobs_waiting{kind="paper.print"} 1' in found
    assert f"trainer_retention_last_done_timestamp_seconds {clock().timestamp():.0f}" in found


def test_an_operator_sees_which_reminders_did_not_go_out_and_metrics_tell_it(
    operator: Browser, app: Flask, storage: SqlStorage, clock: Clock
) -> None:
    assert "None were seen to by a runner" in operator.get("/operator/work").text
    assert "trainer_reminders" not in app.test_client().get("/metrics").text
    scopes = storage.scopes(job_repositories)
    ask_for_today(scopes, REMINDING, clock())
    with scopes.writing() as stored:
        taken = stored.jobs.take((REMINDING,), "one", clock(), clock())
        assert taken is not None
        result = {"sent": 41, "on_pages_only": 7, "failed": 3, "records_given": 0}
        stored.jobs.finish(taken.id, "one", JobState.DONE, clock(), failure="", result=result)
    page = operator.get("/operator/work").text
    assert "None were seen to by a runner" not in page
    assert all(f'<td class="figure-cell">{number}</td>' in page for number in (41, 7, 3))
    found = app.test_client().get("/metrics").text
    assert "trainer_reminders_last_failed 3" in found
    assert f"trainer_reminders_last_done_timestamp_seconds {clock().timestamp():.0f}" in found
