"""Records to store, all invented."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from trainer.services.storage import AttemptRecord, LearnerRecord, ObjectiveOutcome, PageRecord, StoredTask

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
CONTENT = b'{"format":"protection-trainer/task","title":"an invented house"}\n'

TASK = StoredTask(
    content_hash=hashlib.sha256(CONTENT).hexdigest(),
    content=CONTENT,
    seed=2**63 - 1,
    generator_version="1",
    rule_set_version="1.0123456789ab",
    edition="A4:2026",
    kind="choose",
    level=1,
    archetype="terrace",
    created_at=NOON,
)
LEARNER = LearnerRecord(id="learner-1", created_at=NOON, last_seen_at=NOON)
PAGE = PageRecord(id="page-1", content_hash=TASK.content_hash, learner_id=LEARNER.id, created_at=NOON)
ATTEMPT = AttemptRecord(
    id="attempt-1",
    page_id=PAGE.id,
    number=1,
    learner_id=LEARNER.id,
    answers_json='{"way6.rcd_type":"A"}',
    certainty_json='{"way6.rcd_type":3}',
    grade_json=b'{"marks":4}',
    marks=4,
    marks_available=8,
    safe_to_energise=False,
    rule_set_version="1.0123456789ab",
    edition="A4:2026",
    started_at=NOON,
    submitted_at=NOON + timedelta(minutes=3),
    outcomes=(
        ObjectiveOutcome(objective_id="LO-01", misconception_id=None, marks=4, marks_available=4),
        ObjectiveOutcome(objective_id="LO-02", misconception_id="M-02", marks=0, marks_available=4),
    ),
)


def keep_page(storage, *, number_of_pages: int = 1) -> None:
    """A learner with pages, all showing the same task."""
    with storage.writing() as stored:
        stored.tasks.keep(TASK)
        stored.learners.add(LEARNER)
        for count in range(1, number_of_pages + 1):
            stored.pages.add(replace(PAGE, id=f"page-{count}"))
