"""Access arrangements: what a person needs in order to sit fairly, seen only by those who must act on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.domain.errors import Problem
from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.errors import PaperError
from trainer.services.papers.records import Arrangement, Candidate, Paper
from trainer.services.people.here import Here

MOST_EXTRA_PERCENT, MOST_BREAKS_MIN, LONGEST_NOTE = 300, 240, 300
_SECONDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsView:
    """The arrangements in force for those who sit a paper."""

    paper: Paper
    candidates: tuple[Candidate, ...]
    arrangements: tuple[Arrangement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """An arrangement as it is asked for."""

    member_id: str
    extra_time_percent: int = 0
    rest_breaks_min: int = 0
    larger_text: bool = False
    note: str = ""
    for_every_paper: bool = False


@dataclass(frozen=True, kw_only=True)
class NeedsDesk(PaperDesk):
    """The use cases of access arrangements."""

    def view(self, here: Here, paper_id: str) -> NeedsView:
        """What is arranged for those who sit a paper. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        with self.storage.reading() as stored:
            candidates = stored.papers.candidates(here.organisation_id, paper_id)
            known = stored.arrangements.of_paper(here.organisation_id, paper_id)
        return NeedsView(paper=paper, candidates=tuple(candidates), arrangements=tuple(known))

    def arrange(self, here: Here, paper_id: str, wanted: Wanted) -> Arrangement:
        """Arranges something for one who sits the paper. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        with self.storage.writing() as stored:
            problems = list(_problems(wanted, stored.papers.candidates(here.organisation_id, paper_id)))
            if problems:
                raise PaperError(*problems)
            arrangement = Arrangement(
                id=self.new_id(),
                organisation_id=here.organisation_id,
                member_id=wanted.member_id,
                paper_id=None if wanted.for_every_paper else paper_id,
                extra_time_percent=wanted.extra_time_percent,
                rest_breaks_s=wanted.rest_breaks_min * _SECONDS,
                larger_text=wanted.larger_text,
                note=" ".join(wanted.note.split()),
                made_by=here.member_id,
                created_at=self.now(),
            )
            stored.arrangements.add(arrangement)
            # What is arranged is nobody's business but theirs who act on it: the chain names the fact only.
            stored.audit.append(self.event(here.actor, "paper.arrangement_made", paper, arrangement=arrangement.id))
        return arrangement

    def end(self, here: Here, paper_id: str, arrangement_id: str) -> None:
        """Ends an arrangement of somebody who sits the paper. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        with self.storage.writing() as stored:
            known = stored.arrangements.of_paper(here.organisation_id, paper_id)
            if arrangement_id not in {each.id for each in known}:
                raise PaperError(Problem(path="arrangement", problem="is not one of this paper's that is in force"))
            stored.arrangements.end(here.organisation_id, arrangement_id, self.now())
            stored.audit.append(self.event(here.actor, "paper.arrangement_ended", paper, arrangement=arrangement_id))


def _problems(wanted: Wanted, candidates: Sequence[Candidate]) -> Iterator[Problem]:
    if wanted.member_id not in {each.member_id for each in candidates}:
        yield Problem(path="member_id", problem="choose somebody who sits this paper")
    if not 0 <= wanted.extra_time_percent <= MOST_EXTRA_PERCENT:
        problem = f"must be from 0 to {MOST_EXTRA_PERCENT} %"
        yield Problem(path="extra_time_percent", value=wanted.extra_time_percent, problem=problem)
    if not 0 <= wanted.rest_breaks_min <= MOST_BREAKS_MIN:
        problem = f"must be from 0 to {MOST_BREAKS_MIN} minutes"
        yield Problem(path="rest_breaks_min", value=wanted.rest_breaks_min, problem=problem)
    if len(wanted.note) > LONGEST_NOTE:
        yield Problem(path="note", problem=f"at most {LONGEST_NOTE} characters")
    if not (wanted.extra_time_percent or wanted.rest_breaks_min or wanted.larger_text):
        yield Problem(path="extra_time_percent", problem="arrange at least one thing")
