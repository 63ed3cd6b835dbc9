"""A year of the job runner, day by day, over a database that the first version made.

The clock is an argument, so a year takes some seconds; slow, because thousands of transactions wait for the disk.
The days are counted on a calendar: 2026 has 365.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import func, select

from tests.services.jobs.world import Clock, scopes_of
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.keeping.backup import back_up, restore
from trainer.persistence.models import AttemptRow, LearnerRow, PageRow
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import alembic_configuration, is_current, upgrade
from trainer.persistence.tables.operation import AuditRow, JobRow
from trainer.services.jobs.daily import ask_for_today
from trainer.services.jobs.running import Runner
from trainer.services.operation.audit import verified
from trainer.services.privacy.daily import KIND, Clearing
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.times import DEFAULTS
from trainer.services.privacy.words import Kept

BEGAN = datetime(2026, 1, 1, 3, 0, tzinfo=UTC)
YEAR = 365
LAST_VISIT = datetime(2025, 3, 1, tzinfo=UTC)


def of_the_first_version(path: Path) -> Database:
    """A database as the first version left it: two visitors, one of whom came for the last time in March 2025."""
    database = Database(sqlite_url(path))
    configuration = alembic_configuration()
    with database.migrating() as connection:
        configuration.attributes["connection"] = connection
        command.upgrade(configuration, "0001")
    with database.migrating() as connection:
        run = connection.exec_driver_sql
        for name, seen in (("gone", LAST_VISIT), ("here", BEGAN)):
            when = seen.strftime("%Y-%m-%d %H:%M:%S.000000")
            run(f"INSERT INTO learner (id, created_at, last_seen_at) VALUES ('{name}', '{when}', '{when}')")
            run(
                "INSERT INTO task (content_hash, content, seed, generator_version, rule_set_version, edition, kind,"
                f" level, archetype, created_at) VALUES ('{name}', x'00', 7, '1', '1', 'A4:2026', 'choose', 1,"
                f" 'terrace', '{when}')"
            )
            run(
                "INSERT INTO page (id, content_hash, learner_id, created_at)"
                f" VALUES ('page-{name}', '{name}', '{name}', '{when}')"
            )
            run(
                "INSERT INTO attempt (id, page_id, number, learner_id, answers_json, certainty_json, grade_json, marks,"
                " marks_available, safe_to_energise, rule_set_version, edition, started_at, submitted_at) VALUES"
                f" ('attempt-{name}', 'page-{name}', 1, '{name}', '{{}}', '{{}}', x'00', 2, 3, 1, '1', 'A4:2026',"
                f" '{when}', '{when}')"
            )
    return database


def runner_of(database: Database, clock: Clock, name: str) -> Runner:
    ids = iter(range(10**6))
    retention = Retention(
        storage=SqlStorage(database).scopes(privacy_repositories), now=clock, new_id=lambda: f"{name} {next(ids)}"
    )
    return Runner(
        storage=scopes_of(database),
        works={KIND: Clearing(lambda: retention)},
        now=clock,
        new_id=lambda: f"{name} {next(ids)}",
        name=name,
    )


@pytest.mark.slow
def test_a_database_of_the_first_version_lives_through_a_year_of_daily_clearing(tmp_path: Path) -> None:
    database = of_the_first_version(tmp_path / "trainer.sqlite3")
    upgrade(database)
    assert is_current(database)
    clock, gone_on = Clock(now=BEGAN), None
    runners = [runner_of(database, clock, name) for name in ("first", "second")]
    for _ in range(YEAR):
        for each in runners:
            ask_for_today(scopes_of(database), KIND, clock())
            each.step()
        with database.reading() as session:
            if gone_on is None and session.get(LearnerRow, "gone") is None:
                gone_on = clock()
        clock.now += timedelta(days=1)
    # 400 days after 1 March 2025 is 5 April 2026; its clearing comes with the first round after that moment.
    assert DEFAULTS[Kept.PRACTICE].days == 400
    assert gone_on == datetime(2026, 4, 5, 3, 0, tzinfo=UTC)
    with database.reading() as session:
        assert session.get(LearnerRow, "here") is not None
        # What was practised stays for statistics, belonging to nobody.
        assert session.scalar(select(func.count()).select_from(AttemptRow)) == 2
        assert session.get(PageRow, "page-gone").learner_id is None
        done = [each for each in session.scalars(select(AuditRow)) if each.action == "retention.clear_done"]
        assert len(done) == YEAR
        # Ended jobs are kept for 90 days: those of the last 90 days and of today.
        assert DEFAULTS[Kept.JOBS].days == 90
        assert session.scalar(select(func.count()).select_from(JobRow)) in (90, 91)
    with SqlStorage(database).scopes(SqlAuditLog).reading() as log:
        assert verified(log.all()).broken_at is None
    back_up(database, tmp_path / "copy")
    other = Database(sqlite_url(tmp_path / "other.sqlite3"))
    restore(other, tmp_path / "copy")
    with other.reading() as session:
        assert session.scalar(select(func.count()).select_from(AuditRow)) >= YEAR
    database.close()
    other.close()
