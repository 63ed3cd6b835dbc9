"""The work of the runners, for whoever runs the site: as a page, and as numbers for monitoring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from flask import render_template
from sqlalchemy.exc import SQLAlchemyError

from trainer.persistence.jobs.repositories import job_repositories
from trainer.services.jobs.overview import Overview, last_days, last_done, overview
from trainer.services.jobs.records import Job
from trainer.services.jobs.running import LEASE
from trainer.services.privacy.daily import KIND as CLEARING
from trainer.services.programmes.daily import KIND as REMINDING
from trainer.web.files.blueprint import blueprint
from trainer.web.people.entry import Page
from trainer.web.wiring import wiring

_LEFT_AFTER_S = 60


@blueprint.get("/operator/work")
def work() -> Page:
    """What waits, what is being done, what was cleared and who was reminded on each day."""
    found = _overview()
    kinds = sorted({*found.waiting, *found.running})
    is_alive = found.last_sign_of_life is not None and found.at - found.last_sign_of_life <= LEASE
    is_left = found.oldest_waits_s > _LEFT_AFTER_S and not is_alive
    return render_template(
        "files/work.html",
        found=found,
        kinds=kinds,
        is_left=is_left,
        is_alive=is_alive,
        reminders=_reminders(),
    )


def work_lines() -> str:
    """The same in the text format of Prometheus; nothing where the database does not answer."""
    try:
        found, reminders = _overview(), _reminders()
    except SQLAlchemyError:
        return ""
    return "\n".join((*_jobs(found), *_clearing(found), *_reminding(reminders), ""))


def _overview() -> Overview:
    wired = wiring()
    return overview(wired.storage.scopes(job_repositories), CLEARING, wired.now())


def _reminders() -> Sequence[Job]:
    wired = wiring()
    return last_days(wired.storage.scopes(job_repositories), REMINDING, wired.now())


def _jobs(found: Overview) -> Iterator[str]:
    yield from _by_kind("trainer_jobs_waiting", "Jobs that wait for a runner.", found.waiting)
    yield from _by_kind("trainer_jobs_running", "Jobs that a runner is at.", found.running)
    yield "# HELP trainer_job_oldest_wait_seconds For how long the job that waits longest has waited."
    yield "# TYPE trainer_job_oldest_wait_seconds gauge"
    yield f"trainer_job_oldest_wait_seconds {found.oldest_waits_s}"
    if found.last_sign_of_life is not None:
        yield "# HELP trainer_runner_last_seen_timestamp_seconds When any job runner last gave a sign of life."
        yield "# TYPE trainer_runner_last_seen_timestamp_seconds gauge"
        yield f"trainer_runner_last_seen_timestamp_seconds {found.last_sign_of_life.timestamp():.0f}"


def _clearing(found: Overview) -> Iterator[str]:
    last = found.last_done
    if last is None or last.finished_at is None:
        return
    name = "trainer_retention_last_done_timestamp_seconds"
    yield f"# HELP {name} When data past its time was last cleared."
    yield f"# TYPE {name} gauge"
    yield f"{name} {last.finished_at.timestamp():.0f}"
    rows: dict[str, int] = {}
    for each in last.result.get("cleared", ()):
        rows[each["kind"]] = rows.get(each["kind"], 0) + int(each["rows"])
    yield from _by_kind("trainer_retention_last_cleared_rows", "What was cleared then.", rows)


def _reminding(days: Sequence[Job]) -> Iterator[str]:
    last = last_done(days)
    if last is None or last.finished_at is None:
        return
    name = "trainer_reminders_last_done_timestamp_seconds"
    yield f"# HELP {name} When reminders of refreshers were last seen to."
    yield f"# TYPE {name} gauge"
    yield f"{name} {last.finished_at.timestamp():.0f}"
    yield "# HELP trainer_reminders_last_failed Reminders that did not go out then; the next day tries again."
    yield "# TYPE trainer_reminders_last_failed gauge"
    yield f"trainer_reminders_last_failed {int(last.result.get('failed', 0))}"


def _by_kind(name: str, help_text: str, numbers: Mapping[str, int]) -> Iterator[str]:
    yield f"# HELP {name} {help_text}"
    yield f"# TYPE {name} gauge"
    for kind, number in sorted(numbers.items()):
        yield f'{name}{{kind="{kind}"}} {number}'
