"""Which papers a learner has, and starting one: one attempt, however often and from how many pages it is asked for."""

from __future__ import annotations

import hmac
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.services.papers.errors import PaperChangedError
from trainer.services.papers.making import ensure_variant
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperMode, SittingState
from trainer.services.people.here import Here
from trainer.services.sittings.choosing import candidate_number, seed_of, variant_for
from trainer.services.sittings.clock import time_given
from trainer.services.sittings.desk import SittingDesk, items_of
from trainer.services.sittings.errors import NotYoursError, SittingError, WrongCodeError
from trainer.services.sittings.listing import Conditions, PaperLine, line_of, needs_of, why_not
from trainer.services.sittings.records import Sitting, SittingItem
from trainer.services.sittings.storage import SittingRepositories

_TRIES = 50
# While variants are still being drawn each round of starters finds one; the last of more shares one.
_STARTERS_AT_ONCE = 60


class Starting(SittingDesk):
    """The list of papers and the start."""

    def mine(self, here: Here) -> Sequence[PaperLine]:
        """The papers of a learner, newest first."""
        now = self.now()
        with self.storage.reading() as stored:
            papers = stored.papers.of_learner(here.organisation_id, here.member_id)
            sittings = stored.sittings.of_member(here.organisation_id, here.member_id)
        return [line_of(here, each, [one for one in sittings if one.paper_id == each.id], now) for each in papers]

    def conditions(self, here: Here, paper_id: str) -> Conditions:
        """What starting this paper would mean now. *Raises* NotYoursError."""
        now = self.now()
        with self.storage.reading() as stored:
            paper, mine = self._paper(stored, here, paper_id)
            needs = needs_of(stored.arrangements.of_member(here.organisation_id, here.member_id, paper_id))
            numbers = stored.papers.variants(paper_id)
            items = len(stored.papers.variant(paper_id, numbers[0])) if numbers else 0
        return Conditions(
            line=line_of(here, paper, mine, now),
            needs=needs,
            items=items,
            given=time_given(paper, needs, now),
            asks_for_code=_asks_for_code(paper),
        )

    def start(self, here: Here, paper_id: str, number: int, code: str) -> Sitting:
        """The attempt of that number: made, or the one that is there. *Raises* SittingError."""
        for tries in range(_STARTERS_AT_ONCE):
            found = self._started(here, paper_id, number, code, shares=tries == _STARTERS_AT_ONCE - 1)
            if found is not None:
                return found
        raise SittingError(Problem(path="paper", problem="could not be started; try once more"))

    def _started(self, here: Here, paper_id: str, number: int, code: str, *, shares: bool) -> Sitting | None:
        """The sitting; None where somebody else took the variant that was free, unless one may be shared."""
        now = self.now()
        self._ready(here, paper_id, code, now)
        with self.storage.writing() as stored:
            stored.sittings.hold_paper(paper_id)
            paper, mine = self._paper(stored, here, paper_id)
            known = next((each for each in mine if each.number == number or each.is_open), None)
            if known is not None:
                return known
            if line_of(here, paper, mine, now).following != number:
                raise SittingError(Problem(path="paper", value=paper.title, problem=why_not(paper, mine, now)))
            _check_code(paper, code)
            is_free = bool(set(stored.papers.variants(paper_id)) - set(stored.sittings.variants_used(paper_id)))
            return self._made(stored, here, paper, number, now) if is_free or shares else None

    def _ready(self, here: Here, paper_id: str, code: str, now: datetime) -> None:
        """Draws a further variant where every one is somebody's already; outside of the transaction, it takes long."""
        with self.storage.reading() as stored:
            paper, mine = self._paper(stored, here, paper_id)
            used = set(stored.sittings.variants_used(paper_id))
            made = set(stored.papers.variants(paper_id))
        startable = line_of(here, paper, mine, now).following is not None
        if not startable or made - used:
            return
        _check_code(paper, code)
        # A paper that was taken back meanwhile is looked at again by the start itself, which tells why.
        with suppress(PaperChangedError):
            ensure_variant(self.storage, self.form, now, paper, max(used | made, default=0) + 1)

    def _paper(self, stored: SittingRepositories, here: Here, paper_id: str) -> tuple[Paper, list[Sitting]]:
        paper = stored.papers.get(here.organisation_id, paper_id)
        if paper is None or not stored.sittings.is_for(here.organisation_id, paper_id, here.member_id):
            raise NotYoursError(Problem(path="paper", problem="is not one of yours"))
        mine = stored.sittings.of_member(here.organisation_id, here.member_id)
        return paper, [each for each in mine if each.paper_id == paper_id]

    def _made(self, stored: SittingRepositories, here: Here, paper: Paper, number: int, now: datetime) -> Sitting:
        needs = needs_of(stored.arrangements.of_member(here.organisation_id, here.member_id, paper.id))
        used = stored.sittings.variants_used(paper.id)
        counts = {each: used.get(each, 0) for each in stored.papers.variants(paper.id)}
        variant = variant_for(counts, paper.variant_key, here.member_id, number)
        given = time_given(paper, needs, now)
        bare = Sitting(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            member_id=here.member_id,
            paper_id=paper.id,
            assignment_id=None,
            number=number,
            candidate_number=None,
            variant=variant,
            seed=seed_of(paper.variant_key, variant),
            state=SittingState.RUNNING,
            started_at=now,
            deadline_at=given.deadline_at,
            paused_at=None,
            paused_s=0,
            extra_time_s=given.extra_time_s,
            larger_text=needs.larger_text,
            rest_breaks_s=needs.rest_breaks_s,
            last_seen_at=now,
        )
        items = items_of(stored.papers.variant(paper.id, variant))
        return self._added(stored, here, paper, bare, items)

    def _added(
        self, stored: SittingRepositories, here: Here, paper: Paper, bare: Sitting, items: Sequence[SittingItem]
    ) -> Sitting:
        """The sitting under a candidate number that nobody has, or the one that another page started meanwhile."""
        for tries in range(_TRIES):
            number = candidate_number(paper.variant_key, here.member_id, bare.number, tries)
            sitting = replace(bare, candidate_number=number)
            if stored.sittings.add(sitting, items):
                facts = {"number": sitting.number, "variant": sitting.variant}
                stored.audit.append(self.event(here.actor, "sitting.started", sitting, paper=paper.id, **facts))
                return sitting
            for each in stored.sittings.of_member(here.organisation_id, here.member_id):
                if each.paper_id == paper.id and each.number == bare.number:
                    return each
        raise SittingError(Problem(path="paper", value=paper.title, problem="has no candidate number left"))


def _asks_for_code(paper: Paper) -> bool:
    return paper.access_code is not None or paper.mode is PaperMode.SUPERVISED


def _check_code(paper: Paper, code: str) -> None:
    """Holds the code against the paper's. *Raises* WrongCodeError; a supervised paper without one never starts."""
    if not _asks_for_code(paper):
        return
    right = _as_typed(paper.access_code or "")
    if not right or not hmac.compare_digest(right.encode(), _as_typed(code).encode()):
        raise WrongCodeError(Problem(path="code", problem="is not the one said in the room; type it again"))


def _as_typed(code: str) -> str:
    """A code without what people type differently: capitals, spaces, dashes."""
    return "".join(each for each in code.casefold() if each.isalnum())
