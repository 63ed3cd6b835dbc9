"""The key of one task for the marker: what is acceptable, why, and how many marks that makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.services.answering import grade_answer, solution_of
from trainer.services.papers.variants import DrawnItem, scaled_marks
from trainer.web.papers.keys import ShownItem, shown_item
from trainer.web.practice.comparing import Comparison, comparison


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyItem:
    """A task with its key; ``compared`` lists all acceptable answers where they are few, None where it asks."""

    shown: ShownItem
    compared: Comparison | None
    rests_on: Mapping[str, tuple[str, ...]]
    worth: tuple[tuple[int, int], ...]

    @property
    def rules(self) -> tuple[str, ...]:
        """The ids of all rules that the key names."""
        traps = (each.rule for each in self.shown.task.key.traps)
        return tuple(dict.fromkeys((*(rule for each in self.rests_on.values() for rule in each), *traps)))


def key_item(drawn: DrawnItem) -> KeyItem:
    """The key of a drawn task."""
    shown = shown_item(drawn)
    own = shown.own_marks
    return KeyItem(
        shown=shown,
        compared=None if shown.asks else comparison(solution_of(drawn.task), drawn.task.key.intended),
        rests_on=_asked(drawn) if shown.asks else _decided(drawn),
        worth=tuple((earned, scaled_marks(earned, own, drawn.marks)) for earned in range(own + 1)),
    )


def _asked(drawn: DrawnItem) -> Mapping[str, tuple[str, ...]]:
    return {name: key.rules for name, key in drawn.task.key.asks.items()}


def _decided(drawn: DrawnItem) -> Mapping[str, tuple[str, ...]]:
    """For each decision the rules that bear on it where it is decided as intended."""
    result = grade_answer(drawn.task, drawn.task.key.intended)
    return {
        each.id: tuple(dict.fromkeys(result.findings[place].rule.id for place in each.findings))
        for each in result.decisions
    }
