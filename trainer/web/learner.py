"""Under whom practice is recorded: the account that is signed in, else the number in the signed cookie."""

from __future__ import annotations

from flask import session

from trainer.services.practice.learners import known_learner, learner_to_record_for, learner_without_account
from trainer.services.storage import LearnerRecord
from trainer.web.once import once_while_reading
from trainer.web.present import LEARNER, joining, present_owner
from trainer.web.wiring import wiring


def current_learner() -> LearnerRecord | None:
    """The learner of the account, else of this browser; None as long as nothing was recorded.

    A number in a cookie that belongs to an account leads nowhere: whoever has the account signs in.
    """
    standing = present_owner()
    learner_id = standing.person.learner_id if standing else _id_in_cookie()
    if learner_id is None:
        return None
    known = known_learner if standing else learner_without_account
    return once_while_reading("learner", learner_id, lambda: known(wiring().storage, learner_id))


def learner_with_record() -> LearnerRecord:
    """The learner of the account or of this browser, from now on with a record; without an account sets the cookie."""
    wired, standing = wiring(), present_owner()
    if standing is not None:
        known = joining().learner_of(standing.person)
        return learner_to_record_for(wired.storage, known, now=wired.now(), new_id=wired.new_id)
    learner = learner_to_record_for(
        wired.storage, _id_in_cookie(), now=wired.now(), new_id=wired.new_id, known_as=learner_without_account
    )
    session[LEARNER] = learner.id
    session.permanent = True
    return learner


def _id_in_cookie() -> str | None:
    value = session.get(LEARNER)
    return value if isinstance(value, str) else None
