"""What a family drafts a question with: draws, limits, the rules, and its own words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from trainer.domain.asks.forms import Choice
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.findings import Verdict
from trainer.domain.generator.judging import RULE_BY_ID, fails, records
from trainer.domain.generator.randomness import Draws
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.questions.drafts import RedrawError
from trainer.domain.questions.words import FamilyWords
from trainer.domain.tasks import Sheet, SheetKind, SheetRow
from trainer.domain.vocabulary import Edition

if TYPE_CHECKING:
    from trainer.domain.generator.data import ScenarioData


class QuestionWordsError(TrainerError):
    """Words of a question that cannot be used: the file, the family and the key say where."""


class Desk:
    """The tools of one draw."""

    def __init__(self, draws: Draws, data: ScenarioData, edition: Edition, words: FamilyWords) -> None:
        self.draws = draws
        self.data = data
        self.edition = edition
        self.words = words
        self.limits: Limits = limits_for(edition)

    def label(self, key: str, values: Mapping[str, str] | None = None) -> str:
        """The words of an option, place or row. *Raises* QuestionWordsError."""
        return filled(self.words, "labels", key, values or {})

    def choices(self, ids: Iterable[str], values: Mapping[str, str] | None = None) -> tuple[Choice, ...]:
        """Choices in the given order, with the words of their ids."""
        return tuple(Choice(id=each, label=self.label(each, values)) for each in ids)

    def shuffled(self, ids: Iterable[str], values: Mapping[str, str] | None = None) -> tuple[Choice, ...]:
        """Choices in a drawn order, with the words of their ids."""
        return self.choices(self.draws.shuffled(tuple(ids)), values)

    def sheet(
        self,
        rows: Iterable[tuple[str, str, str]],
        values: Mapping[str, str] | None = None,
        notes: tuple[str, ...] = (),
    ) -> Sheet:
        """A sheet of the pack: the label ``sheet`` is its title; each row has a label, a value and a unit."""
        return Sheet(
            id="sheet",
            title=self.label("sheet", values),
            kind=SheetKind.DATA_SHEET,
            rows=tuple(SheetRow(label=label, value=value, unit=unit) for label, value, unit in rows),
            notes=notes,
        )

    def fails(self, rule_id: str, house: Installation) -> bool:
        """True when a rule fails anywhere in a house."""
        return fails(RULE_BY_ID[rule_id], house, self.limits)

    def verdict(self, rule_id: str, house: Installation, name: str = "") -> Verdict:
        """What a rule says of the record of that id, or of the only one that it judges.

        *Raises* RedrawError where it says nothing of it.
        """
        rule = RULE_BY_ID[rule_id]
        for record in records(house, rule.over):
            if name in ("", getattr(record, "id", "")):
                found = rule.judge(record, house, self.limits)
                if found is not None:
                    return found
        raise RedrawError(f"{rule_id} says nothing of {name or 'the house'}")


def filled(words: FamilyWords, part: str, key: str, values: Mapping[str, str]) -> str:
    """One text with its placeholders filled. *Raises* QuestionWordsError."""
    text = getattr(words, part).get(key)
    place = f"{words.file}: {words.id}.{part}.{key}"
    if text is None:
        raise QuestionWordsError(Problem(path=place, problem="missing; this question needs it"))
    return fill(text, values, place)


def fill(text: str, values: Mapping[str, str], place: str) -> str:
    """A text with its placeholders filled. *Raises* QuestionWordsError naming the place."""
    try:
        return text.format_map(values)
    except KeyError as error:
        known = tuple(sorted(values))
        name = str(error).strip("'")
        problem = f"{{{name}}} is no placeholder of this text"
        raise QuestionWordsError(Problem(path=place, value=name, problem=problem, possible=known)) from error
