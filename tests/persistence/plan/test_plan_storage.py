"""Cards and their occasions in the database, also when two pages bring the plan up to date at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

from sqlalchemy import func, select

from trainer.persistence.models import AttemptRow, LearnerRow, OutcomeRow, PageRow, TaskRow
from trainer.persistence.plan.repositories import plan_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.plan import ScheduleCardRow, ScheduleReviewRow
from trainer.services.plan.plan import Planning

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
TIMES = 12


def filled(storage: SqlStorage) -> None:
    """A learner who met one objective twelve times, two decisions each time."""
    with storage.database.writing() as session:
        session.add(LearnerRow(id="learner", created_at=NOON, last_seen_at=NOON))
        session.add(
            TaskRow(
                content_hash="hash",
                content=b"{}",
                seed=1,
                generator_version="1",
                rule_set_version="1",
                edition="A4:2026",
                kind="question",
                level=1,
                archetype="leakage_left_to_use",
                created_at=NOON,
            )
        )
        session.flush()
        for number in range(TIMES):
            at = NOON + timedelta(days=number)
            session.add(PageRow(id=f"page{number}", content_hash="hash", learner_id="learner", created_at=at))
            session.flush()
            session.add(attempt(number, at))


def attempt(number: int, at: datetime) -> AttemptRow:
    outcomes = [
        OutcomeRow(position=place, learner_id="learner", objective_id="LO04", marks=place, marks_available=1)
        for place in (0, 1)
    ]
    return AttemptRow(
        id=f"attempt{number}",
        page_id=f"page{number}",
        number=1,
        learner_id="learner",
        answers_json="{}",
        certainty_json="{}",
        grade_json=b"{}",
        marks=1,
        marks_available=2,
        safe_to_energise=True,
        rule_set_version="1",
        edition="A4:2026",
        started_at=at,
        submitted_at=at,
        outcomes=outcomes,
    )


def planning(storage: SqlStorage) -> Planning:
    return Planning(
        storage=storage.scopes(plan_repositories), now=lambda: NOON + timedelta(days=60), objectives=("LO04", "LO05")
    )


def test_every_occasion_is_counted_once_with_its_decisions(storage: SqlStorage) -> None:
    filled(storage)
    plan = planning(storage).plan("learner")
    assert plan.cards["LO04"].reviews == TIMES
    assert plan.standings["LO04"].decisions == 2 * TIMES
    assert (plan.standings["LO04"].marks, plan.standings["LO04"].marks_available) == (TIMES, 2 * TIMES)
    assert planning(storage).catch_up("learner") == 0


def test_ten_pages_at_once_move_each_card_once(storage: SqlStorage) -> None:
    filled(storage)
    with ThreadPoolExecutor(10) as pool:
        moved = list(pool.map(lambda _: planning(storage).catch_up("learner"), range(10)))
    assert sum(moved) == TIMES
    with storage.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(ScheduleReviewRow)) == TIMES
        assert session.scalars(select(ScheduleCardRow)).one().reviews == TIMES


def test_what_nobody_began_is_new_and_what_is_due_comes_first(storage: SqlStorage) -> None:
    filled(storage)
    plan = planning(storage).plan("learner")
    assert [each.objective_id for each in plan.offers] == ["LO04", "LO05"]
    assert plan.is_due("LO04")
    assert not plan.is_due("LO05")
