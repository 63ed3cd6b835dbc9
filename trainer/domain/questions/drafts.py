"""A question as its family drafts it: computed values and keys of words, before the words are set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.domain.asks.forms import Choice, Figure
from trainer.domain.citations import Citation
from trainer.domain.installation import Installation
from trainer.domain.tasks import Sheet
from trainer.domain.vocabulary import Consequence

Values = Mapping[str, str]


class RedrawError(Exception):
    """A draw that does not make a fair question; its text names the reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A wrong answer: its spelling, the misconception behind it, the key of the words that say what is wrong."""

    answer: str
    misconception: str
    why: str
    values: Values = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A computed question.

    ``values`` fill the placeholders of all words. ``rules`` replace those of the family where a
    seed rests on fewer; ``citations`` are of limits that no rule names. ``consequence`` replaces
    that of the first rule. ``margins`` are pairs of a computed value and the limit from which it
    must keep clear. ``house`` is given where it is drawn, and nowhere else: another would tell the answer.
    """

    answers: tuple[str, ...]
    slips: tuple[Slip, ...]
    values: Values = field(default_factory=dict)
    choices: tuple[Choice, ...] = ()
    partners: tuple[Choice, ...] = ()
    unit: str = ""
    tolerance: float = 0.0
    why: str = "why"
    rules: tuple[str, ...] = ()
    citations: tuple[Citation, ...] = ()
    consequence: Consequence | None = None
    leaves_hazard: bool = False
    subject: str = ""
    figure: Figure | None = None
    house: Installation | None = None
    pack: tuple[Sheet, ...] = ()
    margins: tuple[tuple[float, float], ...] = ()
