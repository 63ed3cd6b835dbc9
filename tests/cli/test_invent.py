"""The invented college and firm: each role sees a living page, and nothing real is touched."""

from __future__ import annotations

import stat
import statistics
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import func, select

from trainer.cli.invent import invent
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import OrganisationRow
from trainer.persistence.tables.papers import PaperRow
from trainer.persistence.tables.programmes import AssignmentRow, RecordRow
from trainer.persistence.tables.sittings import GradingRow, ItemGradingRow, SittingRow
from trainer.services.people.hashing import Argon2


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("invented")
    done = CliRunner().invoke(invent, ["--data", str(place)])
    assert done.exit_code == 0, done.output
    return place


@pytest.fixture
def database(folder: Path) -> Iterator[Database]:
    database = Database(sqlite_url(folder / "trainer.sqlite3"))
    yield database
    database.close()


def test_everything_says_that_it_is_invented(database: Database) -> None:
    with database.reading() as session:
        names = session.scalars(select(OrganisationRow.name)).all()
    assert len(names) == 2
    assert all("invented" in name for name in names)


def test_a_paper_is_released_with_everybodys_marks_and_one_is_being_sat(database: Database) -> None:
    with database.reading() as session:
        states = {row.id: row.state for row in session.scalars(select(PaperRow))}
        sittings = list(session.scalars(select(SittingRow).where(SittingRow.paper_id.is_not(None))))
    assert sorted(states.values()) == ["open", "released"]
    marked = [each for each in sittings if states[each.paper_id or ""] == "released"]
    assert len(marked) >= 30
    assert all(each.marks is not None and each.state == "handed_in" for each in marked)
    assert len({each.marks for each in marked}) > 5
    assert any(each.state == "running" for each in sittings)


def test_some_of_the_firm_are_current_and_some_are_overdue(database: Database) -> None:
    with database.reading() as session:
        passed = Counter(each.last_passed_at is not None for each in session.scalars(select(AssignmentRow)))
        records = session.scalar(select(func.count()).select_from(RecordRow))
    assert passed[True] >= 6
    assert passed[False] >= 2
    assert records == passed[True]


def test_the_paper_has_the_figures_of_a_real_class(database: Database) -> None:
    """Alpha of at least 0.7, the usual least for a classroom test (common practice), by the published formula.

    k / (k - 1) * (1 - sum of the items' variances / variance of the sums); L. J. Cronbach, 1951.
    """
    with database.reading() as session:
        rows = session.execute(
            select(SittingRow.id, ItemGradingRow.position, ItemGradingRow.marks)
            .join(GradingRow, GradingRow.sitting_id == SittingRow.id)
            .join(ItemGradingRow, ItemGradingRow.grading_id == GradingRow.id)
            .join(PaperRow, PaperRow.id == SittingRow.paper_id)
            .where(PaperRow.state == "released")
        ).all()
    items: dict[int, dict[str, int]] = {}
    for sitting, position, marks in rows:
        items.setdefault(position, {})[sitting] = marks
    whole = Counter(dict.fromkeys(items[1], 0))
    for each in items.values():
        whole.update(each)
    spread = sum(statistics.variance(each.values()) for each in items.values())
    alpha = len(items) / (len(items) - 1) * (1 - spread / statistics.variance(whole.values()))
    assert len(items) >= 10
    assert 0.7 <= alpha <= 0.95
    facilities = [statistics.mean(each.values()) / max(each.values()) for each in items.values()]
    assert max(facilities) - min(facilities) > 0.2


def test_every_pass_stands_under_an_edition_that_was_published_by_its_day(database: Database) -> None:
    """A4 was announced for 15 April 2026; A3 of July 2024 (date from memory) came before it."""
    with database.reading() as session:
        passes = session.execute(select(RecordRow.issued_at, RecordRow.edition)).all()
    assert passes
    for at, edition in passes:
        assert edition == ("A4:2026" if at.date() >= date(2026, 4, 15) else "A3:2024")


def test_the_newcomers_of_the_firm_have_time_yet(database: Database) -> None:
    with database.reading() as session:
        waiting = session.scalars(select(AssignmentRow).where(AssignmentRow.last_passed_at.is_(None))).all()
    assert sum(each.due_at > datetime.now(UTC) for each in waiting) == 2


def test_the_password_opens_the_accounts_and_only_its_owner_reads_it(folder: Path, database: Database) -> None:
    file = folder / "demo-password"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with database.reading() as session:
        for name in ("learner", "lecturer", "administrator", "fitter", "manager"):
            person = session.scalars(select(PersonRow).where(PersonRow.sign_in_name == name)).one()
            assert Argon2().verify(person.password_hash, file.read_text().strip())


def test_where_an_organisation_is_there_nothing_is_added(folder: Path, database: Database) -> None:
    again = CliRunner().invoke(invent, ["--data", str(folder)])
    assert again.exit_code == 0
    assert "nothing was changed" in again.output
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(OrganisationRow)) == 2
