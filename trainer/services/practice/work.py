"""Work at a page that is not handed in: hints that were taken, lines that were marked, choices made so far.

It is kept with the page and not with the browser: another device finds it, and a cookie that is cleared does not
make a hint free.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Protocol

from trainer.services.scopes import Scopes
from trainer.services.storage import Looks


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What was done at a page. ``handed_in`` holds the lines that were marked when each attempt was handed in."""

    hinted: tuple[str, ...] = ()
    marked: tuple[str, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    certainty: Mapping[str, int] = field(default_factory=dict)
    handed_in: Mapping[int, tuple[str, ...]] = field(default_factory=dict)


NOTHING = Work()


class Works(Protocol):
    """Work by the id of its page."""

    def hold(self, page_id: str, at: datetime) -> Work:
        """What was done at a page, for nobody else to change until the end of the transaction."""

    def keep(self, page_id: str, work: Work) -> None:
        """Stores work that is held in the place of that before."""


class WorkRepositories(Protocol):
    """Everything that work at a page needs in one transaction."""

    @property
    def works(self) -> Works:
        """Work by the id of its page."""


@dataclass(frozen=True, kw_only=True)
class Working:
    """The use cases of work that is not handed in. What is sent has been checked against the task."""

    storage: Scopes[WorkRepositories]
    looks: Looks
    now: Callable[[], datetime]

    def at(self, page_id: str) -> Work:
        """What was done at a page."""
        return self.looks.work(page_id) or NOTHING

    def take_hint(self, page_id: str, part_id: str) -> None:
        """Notes that a hint was taken; it stays taken."""
        self._change(page_id, lambda work: replace(work, hinted=_with(work.hinted, part_id)))

    def mark(self, page_id: str, line_id: str, *, on: bool) -> None:
        """Marks a line of the papers, or takes the mark away."""
        self._change(page_id, lambda work: replace(work, marked=_set(work.marked, line_id, on=on)))

    def draft(self, page_id: str, answers: Mapping[str, str], certainty: Mapping[str, int]) -> None:
        """Keeps the choices made so far."""
        self._change(page_id, lambda work: replace(work, answers=dict(answers), certainty=dict(certainty)))

    def hand_in(self, page_id: str, number: int) -> None:
        """Keeps which lines were marked when an attempt was handed in; the draft has done its service."""
        if self.at(page_id) == NOTHING:
            return
        self._change(page_id, lambda work: _handed_in(work, number))

    def _change(self, page_id: str, change: Callable[[Work], Work]) -> None:
        with self.storage.writing() as stored:
            work = stored.works.hold(page_id, self.now())
            changed = change(work)
            if changed != work:
                stored.works.keep(page_id, changed)


def _with(known: tuple[str, ...], one: str) -> tuple[str, ...]:
    return known if one in known else (*known, one)


def _set(known: tuple[str, ...], one: str, *, on: bool) -> tuple[str, ...]:
    return _with(known, one) if on else tuple(each for each in known if each != one)


def _handed_in(work: Work, number: int) -> Work:
    """The same number twice keeps the first, as the attempt itself does."""
    if number in work.handed_in:
        return work
    return replace(work, answers={}, certainty={}, handed_in={**work.handed_in, number: work.marked})
