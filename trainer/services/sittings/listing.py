"""What a paper is to a learner now: coming, open, running, done, released, missed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from trainer.services.papers.records import Arrangement, Paper
from trainer.services.papers.states import may_start, state_at
from trainer.services.papers.words import PaperState, SittingState
from trainer.services.people.here import Here
from trainer.services.sittings.clock import TimeGiven
from trainer.services.sittings.desk import is_told
from trainer.services.sittings.records import Needs, Sitting


class Phase(StrEnum):
    """What a paper is to a learner now."""

    COMING = "coming"
    OPEN = "open"
    RUNNING = "running"
    DONE = "done"
    RELEASED = "released"
    MISSED = "missed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """A paper of a learner with the sittings so far; ``following`` is the attempt that may be started next."""

    paper: Paper
    phase: Phase
    sittings: tuple[Sitting, ...]
    following: int | None
    told: tuple[str, ...]

    @property
    def running(self) -> Sitting | None:
        """The sitting that goes on."""
        return next((each for each in self.sittings if each.is_open), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What somebody reads before starting; ``needs`` are shown to nobody else."""

    line: PaperLine
    needs: Needs
    items: int
    given: TimeGiven
    asks_for_code: bool


def needs_of(arrangements: Iterable[Arrangement]) -> Needs:
    """All arrangements in force together: of each kind the most generous one."""
    listed = list(arrangements)
    return Needs(
        extra_time_percent=max((each.extra_time_percent for each in listed), default=0),
        rest_breaks_s=max((each.rest_breaks_s for each in listed), default=0),
        larger_text=any(each.larger_text for each in listed),
    )


def line_of(here: Here, paper: Paper, sittings: Sequence[Sitting], now: datetime) -> PaperLine:
    """A paper with the member's own sittings at it."""
    following = _following(paper, sittings) if may_start(paper, now) else None
    told = tuple(each.id for each in sittings if is_told(here, paper, each, now))
    return PaperLine(
        paper=paper,
        phase=_phase(paper, sittings, following, told, now),
        sittings=tuple(sittings),
        following=following,
        told=told,
    )


def why_not(paper: Paper, sittings: Sequence[Sitting], now: datetime) -> str:
    """Why a paper cannot be started, and what to do."""
    if not may_start(paper, now):
        early = paper.opens_at is not None and now < paper.opens_at
        return "is not open yet" if early else "is not open; ask whoever set it"
    return "has no further attempt for you" if sittings else "cannot be started from this page; load it again"


def _following(paper: Paper, sittings: Sequence[Sitting]) -> int | None:
    """The number of the next attempt, or None where there is none left or one is going on."""
    counted = [each for each in sittings if each.state is not SittingState.VOID]
    if any(each.is_open for each in sittings) or len(counted) >= paper.attempts_allowed:
        return None
    return len(sittings) + 1


def _phase(
    paper: Paper, sittings: Sequence[Sitting], following: int | None, told: Sequence[str], now: datetime
) -> Phase:
    if any(each.is_open for each in sittings):
        return Phase.RUNNING
    if following is not None:
        return Phase.OPEN
    if sittings:
        return Phase.RELEASED if told else Phase.DONE
    early = state_at(paper, now) in {PaperState.LOCKED, PaperState.OPEN}
    return Phase.COMING if early else Phase.MISSED
