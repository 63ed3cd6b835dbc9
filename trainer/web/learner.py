"""Under whom practice is recorded: the account that is signed in, else the number in the signed cookie."""

from __future__ import annotations

from flask import session

from trainer.services.learners import known_learner, learner_to_record_for
from trainer.services.storage import LearnerRecord
from trainer.web.present import LEARNER, joining, present_owner
from trainer.web.wiring import wiring


def current_learner() -> LearnerRecord | None:
    """The learner of the account, else of this browser; None as long as nothing was recorded."""
    standing = present_owner()
    return known_learner(wiring().storage, standing.person.learner_id if standing else _id_in_cookie())


def learner_with_record() -> LearnerRecord:
    """The learner of the account or of this browser, from now on with a record; without an account sets the cookie."""
    wired, standing = wiring(), present_owner()
    if standing is not None:
        known = joining().learner_of(standing.person)
        return learner_to_record_for(wired.storage, known, now=wired.now(), new_id=wired.new_id)
    learner = learner_to_record_for(wired.storage, _id_in_cookie(), now=wired.now(), new_id=wired.new_id)
    session[LEARNER] = learner.id
    session.permanent = True
    return learner


def _id_in_cookie() -> str | None:
    value = session.get(LEARNER)
    return value if isinstance(value, str) else None
