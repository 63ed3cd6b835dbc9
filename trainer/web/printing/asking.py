"""What somebody may ask to have printed, checked, and as it is kept with the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from trainer.domain.errors import Problem
from trainer.web.printing.pdf import PrintError

KIND: Final = "paper.print"
MOST_AT_ONCE: Final = 60
LAST_VARIANT: Final = 9999


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Variants of a paper, in one file or each in its own."""

    paper_id: str
    variants: tuple[int, ...]
    together: bool

    @property
    def payload(self) -> Mapping[str, Any]:
        """As it is kept with the job."""
        return {"paper_id": self.paper_id, "variants": list(self.variants), "together": self.together}


def wanted_of(payload: Mapping[str, Any]) -> Wanted:
    """What a job was asked for."""
    return Wanted(
        paper_id=str(payload.get("paper_id", "")),
        variants=tuple(int(each) for each in payload.get("variants", ())),
        together=bool(payload.get("together", True)),
    )


def wanted_from(paper_id: str, first: str, count: str, *, together: bool) -> Wanted:
    """What a form asks for. *Raises* PrintError with every problem."""
    problems = []
    start, number = _whole(first), _whole(count)
    if start is None or not 1 <= start <= LAST_VARIANT:
        problem = f"must be a whole number from 1 to {LAST_VARIANT}"
        problems.append(Problem(path="first variant", value=first[:20], problem=problem))
    if number is None or not 1 <= number <= MOST_AT_ONCE:
        problem = f"must be a whole number from 1 to {MOST_AT_ONCE}; ask again for more"
        problems.append(Problem(path="how many", value=count[:20], problem=problem))
    if start is None or number is None or problems:
        raise PrintError(*problems)
    return Wanted(paper_id=paper_id, variants=tuple(range(start, start + number)), together=together)


def _whole(text: str) -> int | None:
    plain = text.strip()
    return int(plain) if plain.isascii() and plain.isdigit() and len(plain) < 6 else None
