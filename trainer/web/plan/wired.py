"""The use cases of the plan over this application's storage."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from sqlalchemy.exc import DBAPIError

from trainer.persistence.failures import is_out_of_room
from trainer.persistence.plan.repositories import plan_repositories
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.services.objectives import objectives
from trainer.services.people.words import Role
from trainer.services.plan.plan import Planning, PlanNow
from trainer.services.plan.sittings import LONGEST_ID
from trainer.services.privacy.copies import PersonalCopies
from trainer.services.privacy.erasing import Erasing
from trainer.web.learner import current_learner, learner_with_record
from trainer.web.once import once
from trainer.web.present import present_here
from trainer.web.wiring import wiring


def planning() -> Planning:
    """The plan of learners."""
    wired = wiring()
    return Planning(
        storage=wired.storage.scopes(plan_repositories), now=wired.now, objectives=tuple(objectives()), aims=aims_in
    )


def aims_in(content: bytes) -> Mapping[str, Sequence[str]]:
    """The objectives of each decision of a stored task, without reading the whole of its house."""
    document = json.loads(content)
    asked = (each for part in ("decisions", "asks") for each in document.get(part, ()))
    # What a sitting keeps of a decision names it by as much of its id.
    return {each["id"][:LONGEST_ID]: each["objectives"] for each in asked}


def learner_id() -> str | None:
    """The id of the learner who asks, with or without an account.

    Whoever learns in an organisation has a record from the first look at the plan on: papers may
    move its cards before anything was practised.
    """
    learner = current_learner()
    if learner is None and _learns():
        try:
            learner = learner_with_record()
        except DBAPIError as error:
            _must_be_full(error)
    return learner.id if learner else None


def _must_be_full(error: DBAPIError) -> None:
    """Reading goes on where nothing can be written. *Raises* what was raised for any other reason."""
    if not is_out_of_room(error):
        raise error


def _learns() -> bool:
    member = present_here()
    return member is not None and member.is_any(Role.LEARNER)


def plan_now() -> PlanNow:
    """The plan of the learner who asks, made once for each request."""
    return once("plan", "now", _planned)


def _planned() -> PlanNow:
    try:
        return planning().plan(learner_id())
    except DBAPIError as error:
        _must_be_full(error)
        known = current_learner()
        return planning().as_it_stands(known.id if known else None)


def copies() -> PersonalCopies:
    """Copies of what is kept about somebody."""
    wired = wiring()
    return PersonalCopies(storage=wired.storage.scopes(privacy_repositories), now=wired.now)


def erasing() -> Erasing:
    """Erasing what is kept about somebody."""
    wired = wiring()
    return Erasing(storage=wired.storage.scopes(privacy_repositories), now=wired.now, new_id=wired.new_id)
