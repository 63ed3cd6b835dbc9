"""What an edition changed, seen from the learning objectives: which are touched, by which rules and limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.services.objectives import objectives
from trainer.services.rulebook.editions import Comparison, compared
from trainer.services.rulebook.exercises import exercises_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Touched:
    """An objective that an edition touches, and the rules by which it does, in the order of the book."""

    objective_id: str
    text: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """Two editions compared, with what it means for the objectives."""

    comparison: Comparison
    touched: tuple[Touched, ...]
    # By path of a limit that differs: the rules that read it.
    readers: Mapping[str, tuple[str, ...]]


def known_edition(name: str | None) -> Edition | None:
    """The edition of that name, if this program knows it."""
    return Edition(name) if name in list(Edition) else None


@cache
def changes_between(one: Edition, other: Edition) -> Changes:
    """What differs between two editions, the earlier first whatever the order asked for."""
    comparison = compared(one, other)
    paths = [after.path for _, after in comparison.limits]
    readers = {path: tuple(each.id for each in ALL_RULES if _reads(each, path)) for path in paths}
    rules = {each.id for each in (*comparison.come, *comparison.gone)}
    rules |= {rule for each in comparison.changes for rule in each.rules}
    rules |= {rule for found in readers.values() for rule in found}
    return Changes(comparison=comparison, touched=_touched(rules), readers=readers)


def touched_since(last_edition: str | None, edition: str) -> frozenset[str]:
    """The ids of objectives that changed between the edition of the last assessment and another.

    Empty where nothing was assessed yet or an edition is not known: then nothing can be compared.
    """
    before, now = known_edition(last_edition), known_edition(edition)
    if before is None or now is None or before is now:
        return frozenset()
    return frozenset(each.objective_id for each in changes_between(before, now).touched)


def _reads(rule: Rule, path: str) -> bool:
    return any(path == read or path.startswith(f"{read}.") for read in exercises_of(rule.id).reads)


def _touched(rules: set[str]) -> tuple[Touched, ...]:
    by_objective: dict[str, list[str]] = {}
    for rule in ALL_RULES:
        if rule.id in rules:
            for objective in rule.objectives:
                by_objective.setdefault(objective, []).append(rule.id)
    words = objectives()
    return tuple(
        Touched(objective_id=name, text=words[name], rules=tuple(found)) for name, found in sorted(by_objective.items())
    )
