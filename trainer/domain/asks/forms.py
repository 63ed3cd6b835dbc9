"""What is asked, and what the right answer is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import Consequence


class AskForm(StrEnum):
    """How an answer is given."""

    ONE = "one"
    SEVERAL = "several"
    NUMBER = "number"
    ORDER = "order"
    MATCH = "match"
    POINT = "point"


class FigureKind(StrEnum):
    """What is drawn beside a question."""

    WAVEFORM = "waveform"
    DIAGRAM = "diagram"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to choose, to put in order, to match or to point at; a place's id is its path."""

    id: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A drawing beside a question, by what it is made of.

    A waveform has ``front_end``, ``fault`` and the front end's parameters as texts; a diagram
    is that of the task's house and needs nothing.
    """

    kind: FigureKind
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One thing to answer.

    ``choices`` are what is chosen from, ordered, matched or pointed at; ``partners`` the other
    side of a match. ``unit`` is that of a number. ``subject`` is the path of the record that it
    is about, or empty. ``usual`` is the choice that stands there before the learner decides,
    such as nothing to record; empty where each answer must be given.
    """

    id: str
    question: str
    form: AskForm
    choices: tuple[Choice, ...] = ()
    partners: tuple[Choice, ...] = ()
    unit: str = ""
    subject: str = ""
    usual: str = ""
    objectives: tuple[str, ...] = ()
    figure: Figure | None = None

    def label(self, choice_id: str) -> str:
        """The words of a choice or partner of that id; the id itself where there is none."""
        return next((each.label for each in (*self.choices, *self.partners) if each.id == choice_id), choice_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """A wrong answer that people give: the answer, the misconception behind it, what is wrong with it."""

    answer: str
    misconception: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AskKey:
    """The right answer, in the spelling of ``answers.canonical``, and why.

    ``answers`` holds every answer that is right, the first of them shown as the model.
    ``tolerance`` is how far a number may be off, in the unit of the ask. ``rules`` are those of
    the rule book on which the answer rests. ``leaves_hazard`` is true where a wrong answer would
    leave a danger against which a stated requirement protects.
    """

    answers: tuple[str, ...]
    why: str
    consequence: Consequence
    rules: tuple[str, ...] = ()
    wrongs: tuple[Wrong, ...] = ()
    tolerance: float = 0.0
    leaves_hazard: bool = False

    @property
    def model(self) -> str:
        """The answer that is shown as the right one."""
        return self.answers[0]
