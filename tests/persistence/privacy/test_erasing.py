"""After erasing nothing tells who somebody was, and every figure is what it was.

Source: UK GDPR Article 17 (erasure), recital 26 (what no longer relates to a person); from memory.
"""

from __future__ import annotations

import pytest
from sqlalchemy import func, select, text

from tests.persistence.privacy.people import ACCOUNT, CANARY, LEARNER, described, everything, member_of
from tests.web.people.conftest import House
from trainer.persistence.models import AttemptRow, OutcomeRow
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.sittings import DecisionOutcomeRow, GradingRow, SittingObjectiveRow, SittingRow
from trainer.services.operation.audit import Actor, verified
from trainer.services.people.words import Role
from trainer.services.privacy.erasing import ErasureError
from trainer.services.privacy.retention import Retention

ACTOR = Actor(kind="command")


@pytest.fixture
def houses(storage: SqlStorage) -> tuple[House, House]:
    return described(storage)


def told_in(storage: SqlStorage) -> dict[str, int]:
    """In how many rows of which table the canary stands."""
    found = {name: sum(CANARY in row for row in rows) for name, rows in everything(storage).items()}
    return {name: rows for name, rows in found.items() if rows}


def figures(storage: SqlStorage) -> list[tuple[object, ...]]:
    """Counts and sums from which all statistics are made."""
    with storage.database.reading() as session:
        return [
            tuple(session.execute(select(func.count(), func.sum(table.marks), func.sum(table.marks_available))).one())
            for table in (AttemptRow, OutcomeRow, SittingRow, GradingRow, DecisionOutcomeRow, SittingObjectiveRow)
        ]


def chain(storage: SqlStorage):
    with storage.scopes(SqlAuditLog).reading() as log:
        return list(log.all())


def test_before_erasing_the_name_stands_where_it_should(storage: SqlStorage, houses: object) -> None:
    """Holds the other tests to something: were the canary nowhere, they would show nothing."""
    assert set(told_in(storage)) == {
        "person", "signed_in", "member", "access_arrangement", "assignment", "appeal", "moderation", "job",
        "job_file", "training_record",
    }  # fmt: skip


def test_erased_everywhere_nothing_tells_who_it_was(storage: SqlStorage, houses: object, retention: Retention) -> None:
    retention.account(ACCOUNT, ACTOR, everywhere=True)
    assert told_in(storage) == {}


def test_figures_stay_as_they_were(storage: SqlStorage, houses: object, retention: Retention) -> None:
    before = figures(storage)
    retention.account(ACCOUNT, ACTOR, everywhere=True)
    assert figures(storage) == before


def test_the_audit_chain_verifies_and_nothing_in_it_was_changed(
    storage: SqlStorage, houses: object, retention: Retention
) -> None:
    before = chain(storage)
    noted = {before[-1].number: before[-1].entry_hash}
    retention.account(ACCOUNT, ACTOR, everywhere=True)
    after = chain(storage)
    assert after[: len(before)] == before
    report = verified(after, known=noted)
    assert (report.broken_at, report.entries) == (None, len(before) + 3)
    assert [each.action for each in after[len(before) :]] == ["member.erased", "member.erased", "person.erased"]


def test_an_account_that_goes_leaves_to_each_organisation_what_it_must_keep(
    storage: SqlStorage, houses: object, retention: Retention
) -> None:
    retention.account(ACCOUNT, ACTOR)
    assert set(told_in(storage)) == {
        "member", "access_arrangement", "assignment", "appeal", "moderation", "job_file", "training_record"
    }  # fmt: skip
    with storage.database.reading() as session:
        assert session.get(PersonRow, ACCOUNT) is None
        rows = session.execute(text("SELECT state, person_id FROM member WHERE id LIKE '%-zz' ORDER BY id")).all()
    assert rows == [("ended", None), ("ended", None)]


def test_an_organisation_erases_its_member_and_the_other_one_loses_nothing(
    storage: SqlStorage, houses: object, retention: Retention
) -> None:
    before = everything(storage)
    retention.member("college", member_of("college"), ACTOR)
    after = everything(storage)
    assert {row for rows in before.values() for row in rows if "firm" in row} <= {
        row for rows in after.values() for row in rows
    }
    assert not [
        row
        for rows in after.values()
        for row in rows
        if CANARY in row and "college" in row.replace("college-zz', 'zephyrine's phone", "")
    ]
    with storage.database.reading() as session:
        assert session.get(PersonRow, ACCOUNT) is not None


def test_a_record_of_somebody_erased_is_reached_by_its_old_link_no_more(
    storage: SqlStorage, houses: object, retention: Retention
) -> None:
    retention.member("college", member_of("college"), ACTOR)
    assert not [row for row in everything(storage)["training_record"] if "code-of-zz-college" in row]


def test_what_was_practised_belongs_to_nobody_and_still_counts(
    storage: SqlStorage, houses: object, retention: Retention
) -> None:
    retention.account(ACCOUNT, ACTOR)
    tables = everything(storage)
    for name in ("learner", "schedule_card", "schedule_review", "objective_standing", "page", "attempt"):
        assert not [row for row in tables[name] if LEARNER in row], name
    assert len(tables["attempt"]) == len(tables["objective_outcome"]) == 1


def test_the_only_administrator_of_an_organisation_is_not_erased(
    storage: SqlStorage, houses: tuple[House, House], retention: Retention
) -> None:
    administrator = houses[0].member(Role.ADMINISTRATOR)
    with pytest.raises(ErasureError, match="only administrator of The college"):
        retention.account(administrator, ACTOR)
    with pytest.raises(ErasureError, match="only administrator of The college"):
        retention.member("college", administrator, ACTOR)


def test_every_lecturer_can_be_erased_although_much_was_made_by_them(
    storage: SqlStorage, houses: tuple[House, House], retention: Retention
) -> None:
    before = figures(storage)
    for house in houses:
        retention.account(house.member(Role.LECTURER), ACTOR, everywhere=True)
    assert figures(storage) == before
    assert verified(chain(storage)).broken_at is None
