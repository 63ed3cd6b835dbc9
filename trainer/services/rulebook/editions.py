"""What changed between editions, and what was seen of each: rules and limits of two editions compared."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.resources import folder
from trainer.services.rulebook.limit_tables import LimitTable, limit_tables

_PLACE = "rulebook"
_BOOK = "BS 7671"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one edition is known to have changed, in our own words, and the rules that it touches."""

    edition: Edition
    what: str
    rules: tuple[str, ...]
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two editions side by side. ``limits`` are those that differ, each as it is in both."""

    earlier: Edition
    later: Edition
    come: tuple[Rule, ...]
    gone: tuple[Rule, ...]
    limits: tuple[tuple[LimitTable, LimitTable], ...]
    changes: tuple[Change, ...]
    not_seen: tuple[Rule, ...]


def compared(one: Edition, other: Edition) -> Comparison:
    """What differs between two editions, the earlier first whatever the order asked for."""
    order = list(Edition)
    earlier, later = sorted((one, other), key=order.index)
    before, after = limit_tables(earlier), limit_tables(later)
    between = order[order.index(earlier) + 1 : order.index(later) + 1]
    return Comparison(
        earlier=earlier,
        later=later,
        come=tuple(each for each in ALL_RULES if later in each.editions and earlier not in each.editions),
        gone=tuple(each for each in ALL_RULES if earlier in each.editions and later not in each.editions),
        limits=tuple((before[path], after[path]) for path in after if before[path].rows != after[path].rows),
        changes=tuple(each for each in known_changes() if each.edition in between),
        not_seen=tuple(each for each in ALL_RULES if later in each.editions and not seen_in(each, later)),
    )


def is_of_the_book(rule: Rule) -> bool:
    """True for a clause of BS 7671; clauses of other publications do not change with its editions."""
    return rule.citation.publication.startswith(_BOOK)


def seen_in(rule: Rule, edition: Edition) -> bool:
    """True when the clause was seen in the edition itself, or belongs to another publication."""
    return not is_of_the_book(rule) or rule.citation.edition == edition.value


def changes_of(rule_id: str) -> list[Change]:
    """What editions are known to have changed about a rule."""
    return [each for each in known_changes() if rule_id in each.rules]


@cache
def known_changes() -> tuple[Change, ...]:
    """Every change that is known, the oldest edition first."""
    return tuple(
        Change(
            edition=Edition(each["edition"]),
            what=each["what"],
            rules=tuple(each.get("rules", ())),
            status=each["status"],
        )
        for each in _data()["change"]
    )


@cache
def edition_notes() -> Mapping[Edition, str]:
    """One sentence on each edition."""
    return {Edition(name): text for name, text in _data()["edition"].items()}


@cache
def _data() -> Mapping[str, Any]:
    return tomllib.loads((folder("scenarios") / _PLACE / "editions.toml").read_text("utf-8"))
