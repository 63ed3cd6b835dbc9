"""Sittings on paper: what was ticked is entered by the staff, handed in at once, and marked by the same engine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Fact
from trainer.services.papers.records import Paper
from trainer.services.papers.states import ENTERED, state_at
from trainer.services.papers.variants import VariantItem
from trainer.services.papers.words import HandedInBy, SittingState
from trainer.services.people.here import Here
from trainer.services.sittings.answers import written
from trainer.services.sittings.choosing import candidate_number, seed_of
from trainer.services.sittings.desk import items_of
from trainer.services.sittings.errors import NotYoursError, SittingError
from trainer.services.sittings.finishing import MOST_MARKED_AT_ONCE, Finishing
from trainer.services.sittings.records import Answers, SavedAnswer, Sitting
from trainer.services.sittings.storage import SittingRepositories

_TRIES = 20
SENDER = "paper"
"""What stands as the sender of answers that came on paper."""


class EnteredMeanwhileError(SittingError):
    """The same entry was handed in a moment ago."""


class OnPaper(Finishing):
    """The use cases of whoever enters what stands on paper."""

    def why_not(self, here: Here, paper_id: str, member_id: str) -> str:
        """Why nothing can be entered for somebody, with what to do; empty where it can."""
        with self.storage.reading() as stored:
            paper = stored.papers.get(here.organisation_id, paper_id)
            return "the paper is no longer there" if paper is None else self._why_not(stored, paper, member_id)[0]

    def following(self, here: Here, paper_id: str, member_id: str) -> int:
        """The number of the attempt that an entry made now would be."""
        with self.storage.reading() as stored:
            return len(_of_paper(stored, here.organisation_id, paper_id, member_id)) + 1

    def enter(
        self,
        here: Here,
        paper_id: str,
        member_id: str,
        variant: int,
        answers: Mapping[int, Answers],
        *,
        number: int | None = None,
    ) -> Sitting:
        """The sitting with these answers by position, handed in; marked at once unless it is long.

        The time that it took is not known: it begins and ends with the entering. ``number`` is the
        attempt that it was to be when it was sent: what is sent twice is one. *Raises*
        EnteredMeanwhileError, NotYoursError, SittingError.
        """
        now = self.now()
        with self.storage.writing() as stored:
            stored.sittings.hold_paper(paper_id)
            paper = stored.papers.get(here.organisation_id, paper_id)
            if paper is None:
                raise NotYoursError(Problem(path="paper", problem="is not one of yours"))
            before = len(_of_paper(stored, here.organisation_id, paper_id, member_id))
            if number not in (None, before + 1):
                raise EnteredMeanwhileError(Problem(path="entry", problem="was handed in meanwhile"))
            why, number = self._why_not(stored, paper, member_id)
            drawn = stored.papers.variant(paper_id, variant)
            if why or not drawn:
                raise SittingError(Problem(path="entry", problem=why or f"nobody has printed variant {variant} yet"))
            sitting = self._added(stored, self._bare(here, paper, member_id, variant, number, now), paper, drawn)
            for position, each in answers.items():
                if not stored.answers.put(sitting.id, _saved(position, each, sitting), base=0):
                    raise SittingError(Problem(path="task", value=position, problem="is not one of this variant"))
            facts: dict[str, Fact] = {"paper": paper_id, "number": number, "variant": variant, "tasks": len(answers)}
            stored.audit.append(self.event(here.actor, "sitting.entered_from_paper", sitting, **facts))
        return sitting if len(drawn) > MOST_MARKED_AT_ONCE else self.marked(sitting)

    def _why_not(self, stored: SittingRepositories, paper: Paper, member_id: str) -> tuple[str, int]:
        """Why it cannot be entered, and the number of the attempt."""
        if state_at(paper, self.now()) not in ENTERED:
            return "marks are settled already, or the paper is a draft; entries are made from locking to settling", 0
        if not stored.sittings.is_for(paper.organisation_id, paper.id, member_id):
            return "the paper is not set for a group of theirs", 0
        mine = _of_paper(stored, paper.organisation_id, paper.id, member_id)
        if any(each.is_open for each in mine):
            return "they are sitting it on the screen; let them hand in first", 0
        if sum(each.state is not SittingState.VOID for each in mine) >= paper.attempts_allowed:
            return "they have handed in already, and the paper allows no further attempt", 0
        return "", len(mine) + 1

    def _bare(self, here: Here, paper: Paper, member_id: str, variant: int, number: int, now: datetime) -> Sitting:
        """The sitting, which ends as it begins: figures of time rest on that."""
        return Sitting(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            member_id=member_id,
            paper_id=paper.id,
            assignment_id=None,
            number=number,
            candidate_number=None,
            variant=variant,
            seed=seed_of(paper.variant_key, variant),
            state=SittingState.HANDED_IN,
            started_at=now,
            deadline_at=None,
            paused_at=None,
            paused_s=0,
            extra_time_s=0,
            larger_text=False,
            last_seen_at=now,
            handed_in_at=now,
            handed_in_by=HandedInBy.STAFF,
        )

    def _added(self, stored: SittingRepositories, bare: Sitting, paper: Paper, drawn: Sequence[VariantItem]) -> Sitting:
        items = items_of(drawn)
        for tries in range(_TRIES):
            code = candidate_number(paper.variant_key, bare.member_id, bare.number, tries)
            sitting = replace(bare, candidate_number=code)
            if stored.sittings.add(sitting, items):
                return sitting
        raise SittingError(Problem(path="entry", problem="was made by somebody else just now; load the list again"))


def _of_paper(stored: SittingRepositories, organisation_id: str, paper_id: str, member_id: str) -> Sequence[Sitting]:
    theirs = stored.sittings.of_member(organisation_id, member_id)
    return [each for each in theirs if each.paper_id == paper_id]


def _saved(position: int, answers: Answers, sitting: Sitting) -> SavedAnswer:
    answers_json, certainty_json = written(answers)
    return SavedAnswer(
        position=position,
        sequence=1,
        sender=SENDER,
        answers_json=answers_json,
        certainty_json=certainty_json,
        saved_at=sitting.started_at,
        late=False,
    )
