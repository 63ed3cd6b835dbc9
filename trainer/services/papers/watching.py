"""A paper while it is sat: who has started, what was saved when, who has handed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.records import Candidate, Paper, SittingLine
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """Everybody who may sit a paper, with the sittings of each, as of now."""

    paper: Paper
    at: datetime
    candidates: tuple[Candidate, ...]
    sittings: Mapping[str, tuple[SittingLine, ...]]

    @property
    def started(self) -> int:
        """How many have started."""
        return len(self.sittings)

    @property
    def handed_in(self) -> int:
        """How many have handed in."""
        done = SittingState.HANDED_IN
        return sum(any(each.state is done for each in lines) for lines in self.sittings.values())


@dataclass(frozen=True, kw_only=True)
class WatchingDesk(PaperDesk):
    """The use case of watching."""

    def watch(self, here: Here, paper_id: str) -> Watched:
        """How far everybody is. Candidate numbers are left out: beside names they would undo the anonymity."""
        paper = self.paper(here, paper_id)
        with self.storage.reading() as stored:
            candidates = stored.papers.candidates(here.organisation_id, paper_id)
            lines = stored.sittings.lines(here.organisation_id, paper_id, progress=True)
        by_member: dict[str, tuple[SittingLine, ...]] = {}
        known = {each.member_id for each in candidates}
        left: dict[str, Candidate] = {}
        for each in sorted(lines, key=lambda line: line.number):
            by_member[each.member_id] = (*by_member.get(each.member_id, ()), each)
            if each.member_id not in known:
                # Taken out of the group since: what they saved is still there.
                left[each.member_id] = Candidate(member_id=each.member_id, display_name=each.display_name, groups=())
        return Watched(paper=paper, at=self.now(), candidates=(*candidates, *left.values()), sittings=by_member)
