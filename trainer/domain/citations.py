"""Citations: where a requirement or a value comes from, and how well that is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import Edition


class Status(StrEnum):
    """How well a value or a requirement is supported."""

    SEEN = "seen in a public text"
    MEMORY = "from memory"
    DISAGREE = "public texts disagree"
    COMMON_PRACTICE = "common practice, no source"
    DERIVED = "derived"


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Publication, edition, clause and status of one requirement or value.

    ``edition`` is the edition in which the clause was seen; ``checked_on`` is the ISO date on
    which somebody compared it with the print, and None until then.
    """

    publication: str
    clause: str
    status: Status
    edition: str | None = None
    checked_on: str | None = None
    note: str = ""

    @property
    def is_stated_requirement(self) -> bool:
        """True when a publication states it; inference and common practice are not stated."""
        return self.status not in (Status.DERIVED, Status.COMMON_PRACTICE)

    def compare_with_current_book(self, edition: Edition) -> bool:
        """True when the clause was seen in an earlier edition than the one judged under."""
        return self.edition in _EARLIER_THAN[edition]


_EARLIER_THAN: dict[Edition, frozenset[str]] = {
    Edition.A2_2022: frozenset(),
    Edition.A3_2024: frozenset({Edition.A2_2022}),
    Edition.A4_2026: frozenset({Edition.A2_2022, Edition.A3_2024}),
}
