"""What is older than it may be is shown first, then cleared; everything else stays."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import func, select, update

from tests.persistence.privacy.people import ACCOUNT, CANARY, described, everything, member_of
from tests.persistence.privacy.test_erasing import chain, figures, told_in
from tests.web.conftest import NOON
from tests.web.people.conftest import Clock
from trainer.domain.errors import OutOfRangeError
from trainer.persistence.models import LearnerRow
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow, SignedInRow
from trainer.persistence.tables.operation import RateCountRow
from trainer.persistence.tables.organisations import MemberRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.operation.audit import Actor, verified
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.times import DEFAULTS, MOST_DAYS
from trainer.services.privacy.words import Kept

ACTOR = Actor(kind="job")


def due(retention: Retention) -> dict[Kept, int]:
    found: dict[Kept, int] = {}
    for each in retention.due():
        found[each.kind] = found.get(each.kind, 0) + each.rows
    return found


@pytest.fixture
def lived(storage: SqlStorage) -> SqlStorage:
    """Two organisations, a learner who left, a visitor, counts."""
    described(storage)
    with storage.database.writing() as session:
        session.add(LearnerRow(id="a-visitor", created_at=NOON, last_seen_at=NOON))
        session.add(RateCountRow(key="k" * 64, hits=3, expires_at=NOON))
        left = MemberRow.id == member_of("college")
        session.execute(update(MemberRow).where(left).values(state="ended", ended_at=NOON))
    return storage


def test_nothing_is_due_on_the_first_day(lived: SqlStorage, retention: Retention) -> None:
    assert due(retention) == {}


def test_each_kind_is_due_on_the_day_after_its_time_and_not_before(
    lived: SqlStorage, retention: Retention, clock: Clock
) -> None:
    """The dates are counted by hand from the first day; sessions run for thirty days before they end."""
    began = {Kept.SESSIONS: 30}
    for kind in (Kept.COUNTS, Kept.ROSTERS, Kept.LINKS, Kept.SESSIONS, Kept.PRACTICE, Kept.MEMBERS, Kept.RECORDS):
        last = timedelta(days=DEFAULTS[kind].days + began.get(kind, 0))
        clock.now = NOON + last
        assert kind not in due(retention), kind
        clock.now = NOON + last + timedelta(seconds=1)
        assert kind in due(retention), kind


def test_looking_changes_nothing(lived: SqlStorage, retention: Retention, clock: Clock) -> None:
    clock.pass_by(timedelta(days=4000))
    before = everything(lived)
    assert due(retention)
    assert everything(lived) == before


def test_what_is_older_is_cleared_and_what_is_not_stays(lived: SqlStorage, retention: Retention, clock: Clock) -> None:
    clock.pass_by(timedelta(days=DEFAULTS[Kept.MEMBERS].days + 1))
    before = figures(lived)
    retention.clear(ACTOR)
    assert due(retention) == {}
    assert figures(lived) == before
    with lived.database.reading() as session:
        names = session.scalars(select(MemberRow.display_name).where(MemberRow.id.like("%-zz")).order_by(MemberRow.id))
        # One left, so the name is gone; the other is still a member.
        assert list(names) == ["Somebody erased", f"{CANARY} T."]
        assert session.scalar(select(func.count()).select_from(SignedInRow)) == 0
        assert session.get(LearnerRow, "a-visitor") is None
        assert session.get(PersonRow, ACCOUNT) is not None


def test_clearing_again_does_nothing(lived: SqlStorage, retention: Retention, clock: Clock) -> None:
    clock.pass_by(timedelta(days=3000))
    assert retention.clear(ACTOR)
    assert retention.clear(ACTOR) == ()


def test_answers_of_old_sittings_go_and_marks_stay(lived: SqlStorage, retention: Retention, clock: Clock) -> None:
    clock.pass_by(timedelta(days=DEFAULTS[Kept.SITTINGS].days + 1))
    before = figures(lived)
    retention.clear(ACTOR)
    tables = everything(lived)
    assert (tables["saved_answer"], tables["item_grading"], tables["sitting_break"]) == ([], [], [])
    assert figures(lived) == before


def test_answers_that_wait_to_be_marked_stay_until_they_are(
    lived: SqlStorage, retention: Retention, clock: Clock
) -> None:
    """A day is the shortest time that can be set; where no runner is at work, marking may wait for longer."""
    retention.set_time(Kept.SITTINGS, 1, ACTOR, "college")
    unmarked = update(SittingRow).where(SittingRow.id == "college-sat")
    with lived.database.writing() as session:
        session.execute(unmarked.values(grading_number=None, marks=None, marks_available=None))
    clock.pass_by(timedelta(days=2))
    before = len(everything(lived)["saved_answer"])
    retention.clear(ACTOR)
    assert len(everything(lived)["saved_answer"]) == before
    with lived.database.writing() as session:
        session.execute(unmarked.values(grading_number=1))
    retention.clear(ACTOR)
    assert len(everything(lived)["saved_answer"]) == before - 1


def test_an_organisation_sets_a_time_of_its_own_and_the_other_keeps_the_sites(
    lived: SqlStorage, retention: Retention
) -> None:
    retention.set_time(Kept.MEMBERS, 500, ACTOR)
    retention.set_time(Kept.MEMBERS, 100, ACTOR, "college")
    retention.set_time(Kept.MEMBERS, 90, ACTOR, "college")
    assert retention.times("college")[Kept.MEMBERS] == 90
    assert retention.times("firm")[Kept.MEMBERS] == retention.times()[Kept.MEMBERS] == 500
    assert retention.times()[Kept.SESSIONS] == DEFAULTS[Kept.SESSIONS].days


@pytest.mark.parametrize("days", [0, -1, MOST_DAYS + 1, 10**30])
def test_a_time_that_is_none_is_refused(lived: SqlStorage, retention: Retention, days: int) -> None:
    with pytest.raises(OutOfRangeError, match="days"):
        retention.set_time(Kept.LINKS, days, ACTOR)


def test_operators_and_the_last_administrator_stay(lived: SqlStorage, retention: Retention, clock: Clock) -> None:
    with lived.database.writing() as session:
        session.execute(update(PersonRow).where(PersonRow.id == ACCOUNT).values(is_operator=True))
        session.execute(update(MemberRow).values(state="ended", ended_at=NOON))
    clock.pass_by(timedelta(days=2000))
    retention.clear(ACTOR)
    with lived.database.reading() as session:
        assert session.get(PersonRow, ACCOUNT) is not None


def test_twelve_months_and_more_leave_a_whole_chain_that_tells_what_was_cleared(
    lived: SqlStorage, retention: Retention, clock: Clock
) -> None:
    for _ in range(120):
        clock.pass_by(timedelta(days=30))
        retention.clear(ACTOR)
    after = chain(lived)
    assert verified(after).broken_at is None
    cleared = {each.subject_id for each in after if each.action == "retention.cleared"}
    assert {"sessions", "links", "practice", "members", "records", "sittings"} <= cleared
    # Ten years on the learner who is still a member of the firm is known there, and nowhere else.
    known = {"person", "member", "access_arrangement", "assignment", "appeal", "moderation", "job_file"}
    assert set(told_in(lived)) <= known
