"""How a use case opens what is stored: it names the repositories that it needs in one transaction."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Protocol, TypeVar

from trainer.domain.errors import TrainerError

R_co = TypeVar("R_co", covariant=True)
T = TypeVar("T")


class GaveWayError(TrainerError):
    """Others were at the same rows each time it was tried; nothing of it was kept."""


class Scopes(Protocol[R_co]):
    """Opens repositories of one kind for reading, or for writing in one transaction."""

    def reading(self) -> AbstractContextManager[R_co]:
        """Repositories that read; an attempt to write through them fails."""

    def writing(self) -> AbstractContextManager[R_co]:
        """Repositories in one transaction: durable when the block ends, undone if it raises."""

    def giving_way(self, work: Callable[[R_co], T]) -> T:
        """What the work gives in one transaction that lets everybody else go first: it may be done several times.

        *Raises* GaveWayError where others were in the way each time.
        """


class Promptly(Protocol):
    """How a short piece of work is done for which others wait, by whoever else works in the background."""

    def __call__(self, work: Callable[[], T], /) -> T:
        """Does it and gives what comes of it."""


def as_it_comes(work: Callable[[], T], /) -> T:
    """At once."""
    return work()
