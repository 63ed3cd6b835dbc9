"""The publications behind rules and limits: which editions were seen, and how well each value is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.domain.citations import Citation, Status
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.rulebook.limit_tables import LimitTable, limit_tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """One publication with what rests on it. ``seen_in`` are the editions in which clauses were seen."""

    name: str
    seen_in: tuple[str, ...]
    rules: tuple[Rule, ...]
    limits: tuple[LimitTable, ...]
    statuses: tuple[tuple[Status, int], ...]
    compared_with_print: int


def publications(edition: Edition = DEFAULT_EDITION) -> list[Publication]:
    """All publications that are cited, those with most citations first."""
    names = Counter(citation.publication for citation in _citations(edition))
    return [_publication(name, edition) for name, _ in names.most_common()]


def _citations(edition: Edition) -> Iterator[Citation]:
    for rule in ALL_RULES:
        yield rule.citation
    for table in limit_tables(edition).values():
        yield from table.citations


def _publication(name: str, edition: Edition) -> Publication:
    cited = [each for each in _citations(edition) if each.publication == name]
    counts = Counter(each.status for each in cited)
    return Publication(
        name=name,
        seen_in=tuple(sorted({each.edition for each in cited if each.edition})),
        rules=tuple(rule for rule in ALL_RULES if rule.citation.publication == name),
        limits=tuple(
            table
            for table in limit_tables(edition).values()
            if any(each.publication == name for each in table.citations)
        ),
        statuses=tuple((status, counts[status]) for status in Status if counts[status]),
        compared_with_print=sum(1 for each in cited if each.checked_on),
    )
