"""Learners without an account: known again by a random id that only their browser holds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from trainer.services.storage import LearnerRecord, Storage

# A visit is noted once in this time, so that reading pages does not write to the database.
_VISIT = timedelta(hours=12)


def known_learner(storage: Storage, learner_id: str | None) -> LearnerRecord | None:
    """The learner with this id, if there is one."""
    return None if learner_id is None else storage.looks.learner(learner_id)


def learner_without_account(storage: Storage, learner_id: str | None) -> LearnerRecord | None:
    """The learner with this id, if there is one that belongs to no account: a cookie can be copied."""
    return None if learner_id is None else storage.looks.learner(learner_id, without_account=True)


def learner_to_record_for(
    storage: Storage,
    learner_id: str | None,
    *,
    now: datetime,
    new_id: Callable[[], str],
    known_as: Callable[[Storage, str | None], LearnerRecord | None] = known_learner,
) -> LearnerRecord:
    """The learner with this id, or a new one when the id is missing or no longer known."""
    known = known_as(storage, learner_id)
    if known is not None and now - known.last_seen_at < _VISIT:
        return known
    learner = LearnerRecord(
        id=known.id if known else new_id(), created_at=known.created_at if known else now, last_seen_at=now
    )
    with storage.writing() as stored:
        if known is None:
            stored.learners.add(learner)
        else:
            stored.learners.seen(learner.id, now)
    return learner
