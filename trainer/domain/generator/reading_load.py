"""How much there is to read, kept alike for all scenarios of an archetype and level."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from trainer.domain.answers.decisions import Decision
from trainer.domain.tasks import Sheet

BAND: Final = 0.07
"""Half the width of the band round the archetype's number of words: all of it lies within 15 %."""

_WORDS_OF_A_CIRCUIT: Final = 55
"""What one existing circuit adds to the papers, about: row, cable, load, and often a sheet."""

_MOST_REMARKS: Final = 10


class ReadingLoadError(Exception):
    """Papers that are too long or too short; ``step`` says how many existing circuits would mend it."""

    def __init__(self, words: int, wanted: int) -> None:
        super().__init__(f"{words} words to read where {wanted} are usual")
        over = words - wanted
        few = round(abs(over) / _WORDS_OF_A_CIRCUIT) or 1
        self.step = -few if over > 0 else few


def words_to_read(texts: Iterable[str], pack: Iterable[Sheet], decisions: Iterable[Decision]) -> int:
    """The number of words in title and story, in all papers, and in questions with their options."""
    return sum(len(text.split()) for text in _all(texts, pack, decisions))


def _all(texts: Iterable[str], pack: Iterable[Sheet], decisions: Iterable[Decision]) -> Iterator[str]:
    yield from texts
    for sheet in pack:
        yield sheet.title
        yield from sheet.notes
        for row in sheet.rows:
            yield f"{row.label} {row.value} {row.unit}"
    for decision in decisions:
        yield decision.question
        for option in decision.options:
            yield option.label


def filling(words: int, wanted: int, remarks: Sequence[str]) -> tuple[str, ...]:
    """Remarks that bring the papers up to the usual length, none where they are long enough.

    *Raises* ReadingLoadError where the papers lie outside the band and remarks do not help.
    """
    if words > wanted * (1 + BAND):
        raise ReadingLoadError(words, wanted)
    chosen: list[str] = []
    for remark in remarks:
        if words >= wanted * (1 - BAND / 2) or len(chosen) == _MOST_REMARKS:
            break
        chosen.append(remark)
        words += len(remark.split())
    if words < wanted * (1 - BAND):
        raise ReadingLoadError(words, wanted)
    return tuple(chosen)
