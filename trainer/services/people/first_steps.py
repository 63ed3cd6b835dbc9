"""What somebody who has just come into an organisation does first, by role; nothing once all of it is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.services.people.here import Desk, Here
from trainer.services.people.words import FirstStep, Role

_STEPS = {
    Role.ADMINISTRATOR: (FirstStep.SECOND_FACTOR, FirstStep.STAFF),
    Role.TRAINING_MANAGER: (FirstStep.PEOPLE, FirstStep.PROGRAMME),
    Role.LECTURER: (FirstStep.GROUP, FirstStep.LEARNERS, FirstStep.PAPER),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step, and whether it is done."""

    what: FirstStep
    is_done: bool


class FirstSteps(Desk):
    """The use case of whoever comes in for the first time."""

    def of(self, here: Here, *, has_second_factor: bool) -> Sequence[Step]:
        """The steps of all roles of the member in their order; none when everything is done."""
        wanted = [each for role, steps in _STEPS.items() if role in here.roles for each in steps]
        if not wanted:
            return ()
        asked = [each for each in wanted if each is not FirstStep.SECOND_FACTOR]
        with self.storage.reading() as stored:
            done = stored.first_steps.done(here.organisation_id, here.member_id, asked)
        if has_second_factor:
            done |= {FirstStep.SECOND_FACTOR}
        steps = [Step(what=each, is_done=each in done) for each in wanted]
        return () if all(each.is_done for each in steps) else steps
