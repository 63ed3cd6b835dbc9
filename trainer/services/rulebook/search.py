"""Searching the rule book: by words, clauses and ids, and by what the trade calls things."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.services.rulebook.pages import page_texts, synonyms

_POINTS = re.compile(r"\b([a-z])\.([a-z])\.")
_EDGES = ".,;:!?()\"'"


def matching(query: str, edition: Edition | None = None) -> list[Rule]:
    """The rules in which each word of the query begins a word, or something that means the same."""
    asked = list(_asked(_plain(query)))
    return [
        each
        for each in ALL_RULES
        if (edition is None or edition in each.editions)
        and all(any(_begins(meaning, _searched(each)) for meaning in group) for group in asked)
    ]


def _asked(query: str) -> Iterator[frozenset[str]]:
    """What is asked for, each time as the ways to say it: known phrases first, longest first, then words."""
    known = {_plain(word): group for group in synonyms() for word in group}
    meanings: dict[str, set[str]] = {}
    for group in synonyms():
        plain = {_plain(word) for word in group}
        for word in plain:
            meanings.setdefault(word, set()).update(plain)
    rest = f" {query} "
    for phrase in sorted(known, key=len, reverse=True):
        if f" {phrase} " in rest:
            rest = rest.replace(f" {phrase} ", " ", 1)
            yield frozenset(meanings[phrase])
    for word in rest.split():
        singular = word[:-1] if word.endswith("s") else word
        yield frozenset(meanings.get(singular, set()) | {word, singular} if len(word) > 1 else {word})


def _begins(words: str, text: str) -> bool:
    """True when the words stand in the text from the start of a word on."""
    return f" {words}" in text if len(words) > _SHORT else f" {words} " in text


_SHORT = 2


def _plain(text: str) -> str:
    """Small letters; d.c. as dc; hyphens between words and signs as spaces, but ids as they are."""
    small = _POINTS.sub(r"\1\2", text.lower())
    return " ".join(word.strip(_EDGES) for word in small.replace("/", " ").split())


@cache
def _by_id() -> dict[str, str]:
    return {each.id: _text(each) for each in ALL_RULES}


def _searched(rule: Rule) -> str:
    return _by_id()[rule.id]


def _text(rule: Rule) -> str:
    page = page_texts()[rule.id]
    parts = (
        rule.id,
        rule.name.replace("_", " "),
        rule.citation.clause,
        rule.citation.publication,
        rule.statement,
        rule.why,
        rule.remedy,
        rule.assumes,
        page.condition,
    )
    joined = _plain(" ".join(parts))
    return f" {joined} {joined.replace('-', ' ')} "
