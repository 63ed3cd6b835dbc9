"""The states of a paper: what each allows, which step leads where, what the clock does by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.services.papers.errors import PaperStateError
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperState, ReleasePolicy

STEPS: Mapping[PaperState, tuple[PaperState, ...]] = {
    PaperState.DRAFT: (PaperState.LOCKED,),
    PaperState.LOCKED: (PaperState.OPEN, PaperState.DRAFT),
    PaperState.OPEN: (PaperState.CLOSED,),
    PaperState.CLOSED: (PaperState.MODERATED, PaperState.OPEN),
    PaperState.MODERATED: (PaperState.RELEASED, PaperState.CLOSED),
    PaperState.RELEASED: (),
}
"""Where somebody may take a paper from each state, the way forward first."""

MARKED = frozenset({PaperState.CLOSED, PaperState.MODERATED, PaperState.RELEASED})
"""States in which marks are read by staff; while a paper is sat nobody's are."""
CHANGEABLE = frozenset({PaperState.CLOSED, PaperState.MODERATED})
"""States in which marks may be changed; after release only on an appeal that was upheld."""
ENTERED = frozenset({PaperState.LOCKED, PaperState.OPEN, PaperState.CLOSED})
"""States in which what was ticked on paper is entered: from when it can be printed until its marks are settled."""


def state_at(paper: Paper, now: datetime, *, needs_second_person: bool = False) -> PaperState:
    """The state that the clock gives a paper: opened, closed or released on its dates.

    A paper with an end stays open for those who started in time; the sitting's own deadline ends it.
    Marks that need a second person wait for that person, whatever the date.
    """
    state = paper.state
    if state is PaperState.LOCKED and paper.opens_at is not None and paper.opens_at <= now:
        state = PaperState.OPEN
    if state is PaperState.OPEN and paper.closes_at is not None and paper.closes_at <= now:
        return PaperState.CLOSED
    on_date = paper.release_policy is ReleasePolicy.ON_DATE and paper.release_at is not None
    if state is PaperState.MODERATED and on_date and not needs_second_person:
        assert paper.release_at is not None, "on_date says so"  # noqa: S101 - tells mypy
        return PaperState.RELEASED if paper.release_at <= now else state
    return state


def may_start(paper: Paper, now: datetime) -> bool:
    """True when a sitting of the paper may begin now."""
    return state_at(paper, now) is PaperState.OPEN


def moved(paper: Paper, to: PaperState) -> Paper:
    """The paper one step further, or back. *Raises* PaperStateError with what is possible."""
    possible = STEPS[paper.state]
    if to not in possible:
        problem = f"a paper that is {paper.state} cannot be {to}"
        listed = tuple(each.value for each in possible)
        raise PaperStateError(Problem(path="state", value=to, problem=problem, possible=listed))
    return replace(paper, state=to)


def check_editable(paper: Paper) -> None:
    """*Raises* PaperStateError unless the paper is a draft."""
    if paper.state is not PaperState.DRAFT:
        problem = "only a draft can be edited; take the paper back to a draft first, as long as nobody has started"
        raise PaperStateError(Problem(path="state", value=paper.state, problem=problem))
