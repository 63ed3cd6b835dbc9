"""Twelve months of a firm in fast forward, and a database of the first version brought up to date with what is in it.

The clock is an argument everywhere, so a year takes seconds. Dates are read off a calendar.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import func, select, text

from tests.persistence.privacy.people import everything
from tests.web.conftest import settings
from tests.web.people.conftest import Browser, Clock, House, app, box, browser_of, clock
from tests.web.programmes.conftest import firm, learner, make, manager
from tests.web.programmes.test_taking import records, sit
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.keeping.backup import back_up, restore
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import alembic_configuration, is_current, upgrade
from trainer.persistence.tables.accounts import SignedInRow
from trainer.services.operation.audit import Actor, verified
from trainer.services.privacy.retention import Retention

__all__ = ["app", "box", "browser_of", "clock", "firm", "learner", "manager", "settings"]

ACTOR = Actor(kind="job")


def test_a_firm_lives_through_a_year_with_refreshers_clearing_and_backups(
    storage: SqlStorage,
    firm: House,
    manager: Browser,
    clock: Clock,
    browser_of: Callable[..., Browser],
    tmp_path: Path,
    database_kind: str,
) -> None:
    address = make(manager)
    manager.post(f"{address}/start", page=address)
    sit(browser_of("firm-learner"), storage)
    assert records(storage)[0].valid_until == datetime(2027, 11, 2, tzinfo=UTC)
    retention = Retention(storage=storage.scopes(privacy_repositories), now=clock, new_id=lambda: "unused")
    last = tmp_path / "none"
    for month in range(1, 13):
        clock.pass_by(timedelta(days=30))
        retention.clear(ACTOR)
        last = tmp_path / f"month-{month}"
        back_up(storage.database, last)
    clock.now = datetime(2027, 10, 20, 12, 0, tzinfo=UTC)
    sit(browser_of("firm-learner"), storage)
    assert {each.valid_until for each in records(storage)} >= {datetime(2027, 11, 2, tzinfo=UTC)}
    assert len(records(storage)) == 2
    with storage.scopes(SqlAuditLog).reading() as log:
        assert verified(log.all()).broken_at is None
    with storage.database.reading() as session:
        # Sessions of a year ago are gone; the one that just signed in is there.
        assert session.scalar(select(func.count()).select_from(SignedInRow)) == 1


@pytest.mark.only("sqlite")
def test_a_copy_of_the_year_is_the_same_row_by_row(storage: SqlStorage, firm: House, tmp_path: Path) -> None:
    back_up(storage.database, tmp_path / "copy")
    other = Database(sqlite_url(tmp_path / "other.sqlite3"))
    restore(other, tmp_path / "copy")
    assert everything(SqlStorage(other)) == everything(storage)
    other.close()


def test_what_the_first_version_stored_is_there_in_the_newest(tmp_path: Path) -> None:
    database = Database(sqlite_url(tmp_path / "old.sqlite3"))
    configuration = alembic_configuration()
    with database.migrating() as connection:
        configuration.attributes["connection"] = connection
        command.upgrade(configuration, "0001")
    when = "2026-01-01 00:00:00.000000"
    with database.migrating() as connection:
        run = connection.exec_driver_sql
        run(f"INSERT INTO learner (id, created_at, last_seen_at) VALUES ('l', '{when}', '{when}')")
        run(
            "INSERT INTO task (content_hash, content, seed, generator_version, rule_set_version, edition, kind, level,"
            f" archetype, created_at) VALUES ('h', x'00', 7, '1', '1', 'A4:2026', 'choose', 1, 'terrace', '{when}')"
        )
        run(f"INSERT INTO page (id, content_hash, learner_id, created_at) VALUES ('p', 'h', 'l', '{when}')")
        run(
            "INSERT INTO attempt (id, page_id, number, learner_id, answers_json, certainty_json, grade_json, marks,"
            " marks_available, safe_to_energise, rule_set_version, edition, started_at, submitted_at) VALUES"
            f" ('a', 'p', 1, 'l', '{{}}', '{{}}', x'00', 2, 3, 1, '1', 'A4:2026', '{when}', '{when}')"
        )
    upgrade(database)
    assert is_current(database)
    with database.reading() as session:
        query = text(
            "SELECT a.marks, a.marks_available, t.seed FROM attempt a JOIN page p ON p.id = a.page_id"
            " JOIN task t ON t.content_hash = p.content_hash JOIN learner l ON l.id = a.learner_id"
        )
        assert session.execute(query).all() == [(2, 3, 7)]
    database.close()
