"""The invented crowd: as large as asked for, whole, the same each time, all of it or nothing, marked as invented."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from random import Random

import pytest
from click.testing import CliRunner
from sqlalchemy import func, select, text

from trainer.cli.invent import invent
from trainer.cli.inventing.crowd.copier import Copier, new_ids
from trainer.cli.inventing.crowd.filling import Made, Wanted, fill_with_crowd
from trainer.cli.inventing.crowd.layout import CrowdError, layout_of
from trainer.cli.inventing.crowd.pattern import Pattern, pattern_of
from trainer.cli.serving import stored_form
from trainer.persistence.database import Database
from trainer.persistence.keeping.bulk import as_text
from trainer.persistence.keeping.checking import checked
from trainer.persistence.keeping.emptiness import NotEmptyError
from trainer.persistence.keeping.moving import hash_of
from trainer.persistence.models import AttemptRow, LearnerRow
from trainer.persistence.plan.repositories import plan_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables import Base
from trainer.persistence.tables.organisations import MemberRoleRow, OrganisationRow
from trainer.persistence.tables.sittings import SavedAnswerRow
from trainer.services.plan.plan import Planning

DAY = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
WANTED = Wanted(learners=120, answers=6000, seed=3, today=DAY, password_hash="$argon2id$invented")

Fill = Callable[[Database], Made]


def drawn(wanted: Wanted) -> tuple[Pattern, object]:
    """A pattern, and how the draws stand after it."""
    draws = Random(wanted.seed)
    size = layout_of(wanted.learners, wanted.answers).size
    pattern = pattern_of(size, draws, stored_form(), new_ids(draws), wanted.today, lambda _done, _all: None)
    return pattern, draws.getstate()


@pytest.fixture(scope="module")
def made_once() -> tuple[Pattern, object]:
    return drawn(WANTED)


@pytest.fixture
def fill(made_once: tuple[Pattern, object]) -> Fill:
    """Fills a database; the pattern, which takes longest, is made once."""
    pattern, state = made_once

    def again(_size: object, draws: Random, *_more: object) -> Pattern:
        draws.setstate(state)
        return pattern

    def filled(database: Database) -> Made:
        return fill_with_crowd(database, WANTED, stored_form(), _silent, _silent, again)

    return filled


def _silent(_done: int, _all: int) -> None:
    pass


def count(database: Database, query: str) -> int:
    with database.reading() as session:
        return session.execute(text(query)).scalar_one()


def test_there_are_as_many_learners_and_answers_as_were_asked_for(database: Database, fill: Fill) -> None:
    made = fill(database)
    with database.reading() as session:
        attempts = session.scalar(select(func.count()).select_from(AttemptRow))
        saved = session.scalar(select(func.count()).select_from(SavedAnswerRow))
        learners = session.scalar(select(func.count()).select_from(LearnerRow))
        members = session.scalar(select(func.count()).where(MemberRoleRow.role == "learner"))
    assert made.answers == attempts + saved
    # Histories of practice are not cut, so it may be a few more.
    assert 6000 <= made.answers < 6020
    assert learners == 120
    # Five in a hundred have no account.
    assert 0.9 * 120 <= members < 120


def test_everything_in_it_is_whole(database: Database, fill: Fill) -> None:
    fill(database)
    assert {each.check: each.problems for each in checked(database) if each.problems} == {}


def test_every_organisation_says_that_it_is_invented(database: Database, fill: Fill) -> None:
    fill(database)
    with database.reading() as session:
        names = session.scalars(select(OrganisationRow.name)).all()
    assert len(names) >= 2
    assert all("(invented)" in name for name in names)


def test_marks_and_sums_are_those_of_the_answers_that_they_stand_for(database: Database, fill: Fill) -> None:
    """Added up a second time by the database from what the sums rest on."""
    fill(database)
    wrong_sittings = (
        "SELECT count(*) FROM sitting WHERE marks IS NOT NULL AND marks <> (SELECT sum(item_grading.marks) FROM"
        " item_grading JOIN grading ON grading.id = grading_id WHERE grading.sitting_id = sitting.id)"
    )
    wrong_standings = (
        "SELECT count(*) FROM objective_standing AS s WHERE marks <> (SELECT sum(o.marks) FROM objective_outcome AS o"
        " WHERE o.learner_id = s.learner_id AND o.objective_id = s.objective_id)"
    )
    wrong_cards = (
        "SELECT count(*) FROM schedule_card AS c WHERE reviews <> (SELECT count(*) FROM schedule_review AS r"
        " WHERE r.learner_id = c.learner_id AND r.objective_id = c.objective_id)"
    )
    assert [count(database, each) for each in (wrong_sittings, wrong_standings, wrong_cards)] == [0, 0, 0]
    assert count(database, "SELECT count(*) FROM objective_standing") > 1000


def test_every_plan_has_counted_all_practice_and_its_cards_can_be_read(database: Database, fill: Fill) -> None:
    """What was sat waits for the learner to open the plan, as it does for whoever has not opened it since."""
    fill(database)
    storage = SqlStorage(database)
    planning = Planning(storage=storage.scopes(plan_repositories), now=lambda: DAY, objectives=("LO02", "LO12"))
    of_practice = "SELECT count(*) FROM schedule_review WHERE source_id NOT IN (SELECT id FROM sitting)"
    before = count(database, of_practice)
    with database.reading() as session:
        learners = session.scalars(select(AttemptRow.learner_id).distinct().order_by(AttemptRow.learner_id).limit(9))
        names = [each for each in learners if each]
    assert all(planning.plan(each).offers for each in names)
    assert count(database, of_practice) == before > 1000


def test_several_groups_sit_one_paper_under_different_numbers(database: Database, fill: Fill) -> None:
    fill(database)
    most = "SELECT max(n) FROM (SELECT count(*) AS n FROM paper_group GROUP BY paper_id) AS groups_of"
    assert count(database, most) > 1


def test_a_database_that_is_not_empty_is_refused_and_stays_as_it_was(database: Database, fill: Fill) -> None:
    with SqlStorage(database).scopes(plan_repositories).writing():
        pass
    with database.writing() as session:
        session.add(LearnerRow(id="somebody", created_at=DAY, last_seen_at=DAY))
    with pytest.raises(NotEmptyError, match="learner"):
        fill(database)
    assert count(database, "SELECT count(*) FROM organisation") == 0


def test_what_fails_on_the_way_leaves_nothing(database: Database, fill: Fill, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_self: Copier) -> int:
        raise OSError("no space left on device")

    monkeypatch.setattr(Copier, "enter_log", full)
    with pytest.raises(OSError, match="no space"):
        fill(database)
    with database.reading() as session:
        for table in Base.metadata.sorted_tables:
            assert session.scalar(select(func.count()).select_from(table)) == 0, table.name


def test_the_same_seed_and_day_make_the_same_rows_on_every_database(database: Database, fill: Fill, tmp_path) -> None:
    """Made twice from the beginning; compared by the hashes that a move of a database compares."""
    from trainer.config import sqlite_url
    from trainer.persistence.schema import upgrade

    other = Database(sqlite_url(tmp_path / "other.sqlite3"))
    upgrade(other)
    fill_with_crowd(other, WANTED, stored_form(), _silent, _silent)
    fill(database)
    with database.moment() as one, other.moment() as two:
        differing = [
            table.name
            for table in Base.metadata.sorted_tables
            if hash_of(one.connection(), table) != hash_of(two.connection(), table)
        ]
    other.close()
    assert differing == []


@pytest.mark.parametrize(("learners", "answers", "problem"), [(10, 1000, "--learners"), (10_000, 1000, "--answers")])
def test_a_crowd_that_cannot_be_is_refused_with_what_is_possible(learners: int, answers: int, problem: str) -> None:
    with pytest.raises(CrowdError, match=f"{problem}.* or more"):
        layout_of(learners, answers)


def test_ten_thousand_learners_are_spread_over_ten_organisations_the_first_ones_large() -> None:
    layout = layout_of(10_000, 1_000_000)
    people = sum(layout.groups) * layout.size.group + sum(layout.squads) * 18 + layout.without_account
    assert people == 10_000
    assert (len(layout.groups), len(layout.squads)) == (5, 5)
    assert layout.groups[0] * layout.size.group > 3000


def test_the_number_of_answers_alone_is_no_crowd() -> None:
    done = CliRunner().invoke(invent, ["--answers", "1000"])
    assert (done.exit_code, "--learners" in done.output) == (2, True)


def test_times_stand_in_sqlite_as_the_program_writes_them() -> None:
    """The text that SQLAlchemy's DateTime keeps there: a space between day and time, six digits of the second."""
    assert as_text(replace_zone(DAY)) == "2026-11-02 12:00:00.000000"


def replace_zone(moment: datetime) -> datetime:
    """The same moment, said in another zone."""
    from datetime import timedelta, timezone

    return moment.astimezone(timezone(timedelta(hours=5)))
