"""How a use case opens what is stored: it names the repositories that it needs in one transaction."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Protocol, TypeVar

R_co = TypeVar("R_co", covariant=True)


class Scopes(Protocol[R_co]):
    """Opens repositories of one kind for reading, or for writing in one transaction."""

    def reading(self) -> AbstractContextManager[R_co]:
        """Repositories that read; an attempt to write through them fails."""

    def writing(self) -> AbstractContextManager[R_co]:
        """Repositories in one transaction: durable when the block ends, undone if it raises."""
