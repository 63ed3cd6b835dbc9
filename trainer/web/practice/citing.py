"""A citation as it was said with a result: the clause, and how well it is supported, as a mark explained once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from flask_babel import LazyString, lazy_gettext

# Results keep their words as they were said, in the language of the explanations.
_STATUS = ". Status: "
_COMPARE = re.compile(r"\(clause as in (?P<seen>[^;)]+); compare with the current book\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """How well a clause is supported: in short beside it, and in full once on the page."""

    said: str
    short: LazyString
    full: LazyString


SUPPORTS = (
    Support(
        said="seen in a public text",
        short=lazy_gettext("seen in a public text"),
        full=lazy_gettext("a public page states it; the printed clause was not read"),
    ),
    Support(
        said="from memory, not compared with the print",
        short=lazy_gettext("from memory"),
        full=lazy_gettext("recalled; nobody has compared it with the print"),
    ),
    Support(
        said="public texts disagree",
        short=lazy_gettext("public texts disagree"),
        full=lazy_gettext("there are two readings; the stricter counts where both are not safe"),
    ),
    Support(
        said="an inference, no clause says it in so many words",
        short=lazy_gettext("an inference"),
        full=lazy_gettext("worked out from others; no clause says it in so many words"),
    ),
    Support(
        said="common practice of the trade, no clause",
        short=lazy_gettext("common practice"),
        full=lazy_gettext("a custom of the trade without a clause"),
    ),
)
_BY_WORDS = {each.said: each for each in SUPPORTS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Publication and clause, the edition in which it was seen where that is not the one in force, its support."""

    text: str
    seen_in: str
    support: Support | None


def cited(regulation: str) -> Citation:
    """The parts of what was said; words that are not known stay as they are."""
    text, _, words = regulation.rpartition(_STATUS)
    support = _BY_WORDS.get(words.rstrip("."))
    if support is None:
        return Citation(text=regulation, seen_in="", support=None)
    found = _COMPARE.search(text)
    return Citation(text=_COMPARE.sub("", text).rstrip(), seen_in=found["seen"] if found else "", support=support)


def taken_apart(why: str) -> tuple[str, tuple[Citation, ...]]:
    """The reason of a question without the citations that end it, and those one by one."""
    found: list[Citation] = []
    while any(why.endswith(f"{_STATUS}{words}.") for words in _BY_WORDS):
        said = why.rpartition(_STATUS)[0]
        # A citation is one sentence, so it begins behind the end of the one before.
        begins = max((said.rfind(f"{sign} ") + 2 for sign in ".?!" if f"{sign} " in said), default=0)
        found.insert(0, cited(why[begins:]))
        why = why[:begins].rstrip()
    return why, tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Legend:
    """What the marks of one page mean: the supports that occur on it, and whether editions are to be compared."""

    supports: tuple[Support, ...]
    has_editions: bool


def legend_of(grade: Mapping[str, Any], reasons: Iterable[str] = ()) -> Legend:
    """The legend for all citations of a result, and of the reasons of questions beside it."""
    found = [cited(text) for text in _regulations(grade)]
    found += [each for why in reasons for each in taken_apart(why)[1]]
    met = {each.support.said for each in found if each.support}
    return Legend(
        supports=tuple(each for each in SUPPORTS if each.said in met),
        has_editions=any(each.seen_in for each in found),
    )


def _regulations(grade: Mapping[str, Any]) -> Iterable[str]:
    return {said["regulation"] for each in grade["decisions"] for said in each.get("explanations", ())}
