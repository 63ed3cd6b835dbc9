"""Who is at the other end: a learner known by the id in the signed cookie."""

from __future__ import annotations

from flask import session

from trainer.services.learners import known_learner, learner_to_record_for
from trainer.services.storage import LearnerRecord
from trainer.web.wiring import wiring

_KEY = "learner"


def current_learner() -> LearnerRecord | None:
    """The learner of this browser, or None as long as nothing was recorded for it."""
    return known_learner(wiring().storage, _id_in_cookie())


def learner_with_record() -> LearnerRecord:
    """The learner of this browser, from now on with a record; sets the cookie."""
    wired = wiring()
    learner = learner_to_record_for(wired.storage, _id_in_cookie(), now=wired.now(), new_id=wired.new_id)
    session[_KEY] = learner.id
    session.permanent = True
    return learner


def _id_in_cookie() -> str | None:
    value = session.get(_KEY)
    return value if isinstance(value, str) else None
