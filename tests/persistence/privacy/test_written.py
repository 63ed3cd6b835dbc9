"""Rows written as text column by column say what the general JSON library says of the same rows, on both databases."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import insert, select, update

from trainer.persistence.database import Database
from trainer.persistence.models import AttemptRow, Base, LearnerRow, OutcomeRow, PageRow, TaskRow
from trainer.persistence.privacy.copies import SqlCopies
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.services.privacy.copies import PersonalCopies, text_of

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
# What a text, a format and an encoding could trip over; invented.
ODD = 'a "b" %s 100% \\ / \u00e9\u2028 \n\t <script>'
ATTEMPTS = 30


@pytest.fixture
def filled(storage: SqlStorage) -> Database:
    """A learner with attempts, moments with and without parts of a second, and odd texts; another beside."""
    with storage.database.writing() as session:
        for who in ("one", "other"):
            session.execute(insert(LearnerRow).values(id=who, created_at=NOON, last_seen_at=NOON))
        session.execute(
            insert(TaskRow).values(
                content_hash="h" * 64, kind="choose", level=2, archetype="village_hall", seed=1, generator_version="3",
                rule_set_version="1", edition="A4:2026", content=b"{}", created_at=NOON,
            )
        )  # fmt: skip
        # The last first, so that what nobody sorts comes the wrong way round.
        for number in reversed(range(ATTEMPTS)):
            _attempt(session, number, "other" if number % 10 == 9 else "one")
    return storage.database


def _attempt(session, number: int, learner: str) -> None:
    at = NOON + timedelta(minutes=number, microseconds=number % 3)
    page = {"id": f"page-{number:03}", "content_hash": "h" * 64, "learner_id": learner, "created_at": at}
    session.execute(insert(PageRow).values(**page))
    session.execute(
        insert(AttemptRow).values(
            id=f"attempt-{number:03}", page_id=page["id"], number=1, learner_id=learner,
            answers_json=json.dumps({"device": ODD, "none": None, "nested": [1, 2.5, True]}),
            certainty_json=json.dumps({"device": number % 4}, indent=2), grade_json=b"{}", marks=1, marks_available=2,
            safe_to_energise=bool(number % 2), rule_set_version=ODD[:12], edition="A4:2026", started_at=at,
            submitted_at=at,
        )
    )  # fmt: skip
    session.execute(
        insert(OutcomeRow).values(
            attempt_id=f"attempt-{number:03}", position=1, learner_id=learner, objective_id="LO02",
            misconception_id=None if number % 2 else "M12", marks=1, marks_available=2,
        )
    )  # fmt: skip


def plain(database: Database, table: type[Base]) -> list[dict[str, object]]:
    """The learner's rows as objects, each value turned by the general library: the second method."""
    with database.reading() as session:
        rows = session.scalars(select(table).where(table.learner_id == "one").order_by(*table.__mapper__.primary_key))
        return [
            {
                name.removesuffix("_json"): json.loads(value) if name.endswith("_json") else value
                for name in (each.name for each in table.__table__.columns)
                if name != "grade_json"
                for value in [getattr(row, name)]
            }
            for row in rows
        ]


def copied(database: Database) -> dict[str, list[dict[str, object]]]:
    with database.reading() as session:
        return {name: json.loads(each.text) for name, each in SqlCopies(session).practice("one").items()}


@pytest.mark.parametrize(
    ("name", "table"),
    [
        ("attempts", AttemptRow),
        ("decisions", OutcomeRow),
        ("plan", ScheduleCardRow),
        ("reviews", ScheduleReviewRow),
        ("standing", ObjectiveStandingRow),
    ],
)
def test_every_value_is_what_the_general_library_writes(filled: Database, name: str, table: type[Base]) -> None:
    expected = plain(filled, table)
    for row in expected:
        for key, value in row.items():
            if isinstance(value, datetime):
                row[key] = value.isoformat()
    assert copied(filled)[name] == json.loads(json.dumps(expected))


def test_tasks_are_those_of_the_learner_alone_oldest_first(filled: Database) -> None:
    found = copied(filled)["tasks"]
    assert [row["id"] for row in found] == [f"page-{n:03}" for n in range(ATTEMPTS) if n % 10 != 9]
    assert found[0] == {
        "archetype": "village_hall", "created_at": "2026-11-25T12:00:00+00:00", "id": "page-000", "kind": "choose",
        "level": 2,
    }  # fmt: skip
    assert found[1]["created_at"] == "2026-11-25T12:01:00.000001+00:00"


def test_the_numbers_told_are_those_of_the_rows(filled: Database) -> None:
    with filled.reading() as session:
        for each in SqlCopies(session).practice("one").values():
            assert each.number == len(json.loads(each.text))


def test_the_whole_copy_is_one_document_of_json(filled: Database, storage: SqlStorage) -> None:
    copies = PersonalCopies(storage=storage.scopes(privacy_repositories), now=lambda: NOON)
    document = json.loads(text_of(copies.of_practice("one")))
    assert (document["format"], document["version"]) == ("personal-data", 1)
    assert len(document["practice"]["attempts"]) == 27
    assert document["practice"]["attempts"][0]["answers"]["device"] == ODD


def test_what_holds_no_json_is_written_as_nothing(filled: Database) -> None:
    with filled.writing() as session:
        session.execute(update(AttemptRow).values(answers_json=""))
    found = copied(filled)["attempts"]
    assert [row["answers"] for row in found] == [None] * 27
