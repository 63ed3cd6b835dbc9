"""Ids of rules and terms of the glossary become links in a text."""

from __future__ import annotations

import re
from functools import cache

from flask import url_for
from markupsafe import Markup, escape

from trainer.domain.rules.book import ALL_RULES
from trainer.explain.numbers import sign
from trainer.services.rulebook.glossary import Term, glossary
from trainer.services.rulebook.limit_tables import Grid, LimitTable, grid_of
from trainer.web.rules.blueprint import blueprint

_IDS = frozenset(rule.id for rule in ALL_RULES)
_ID = re.compile(r"\b[A-Z][A-Z0-9]{1,4}-\d{2}[A-Z]?\b")
_TAGS = re.compile(r"(<[^>]*>)")


@blueprint.app_template_filter("rule_links")
def rule_links(text: str) -> Markup:
    """The text with each id of a rule as a link."""
    return Markup(_ID.sub(_linked, str(escape(text))))  # noqa: S704 - escaped before the links are put in


def _linked(found: re.Match[str]) -> str:
    rule_id = found[0]
    if rule_id not in _IDS:
        return rule_id
    return f'<a href="{url_for("rules.page", rule_id=rule_id)}">{rule_id}</a>'


@blueprint.app_template_filter("term_links")
def term_links(text: str) -> Markup:
    """The text with the first mention of each term as a link to the glossary; tags stay as they are."""
    linked: set[str] = set()

    def link(found: re.Match[str]) -> str:
        term = _terms()[found[0].lower()]
        if term.id in linked:
            return found[0]
        linked.add(term.id)
        return f'<a class="term" href="{url_for("rules.terms")}#{term.id}">{found[0]}</a>'

    parts = _TAGS.split(str(escape(text)))
    told = "".join(part if part.startswith("<") else _pattern().sub(link, part) for part in parts)
    return Markup(told)  # noqa: S704 - escaped before the links are put in


@cache
def _terms() -> dict[str, Term]:
    return {said.lower(): term for term in glossary() for said in term.said}


@cache
def _pattern() -> re.Pattern[str]:
    """Every way to put a term, the longest first, as whole words."""
    said = sorted(_terms(), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, said))})(?![\w-])", re.IGNORECASE)


@blueprint.app_template_global("unit_sign")
def unit_sign(unit: str) -> str:
    """The unit as it is printed, with the signs that a page has."""
    return _PRINTED.get(unit) or re.sub(r"^x (?=\S)", "× ", sign(unit)).replace("I-delta-n", "IΔn")


_PRINTED = {
    "A s^0.5/mm2": "A√s/mm²",
    "milliohm/m": "mΩ/m",
    "milliohm mm2/m": "mΩ·mm²/m",
    "year": " ",
}


@blueprint.app_template_filter("trade_words")
def trade_words(text: str) -> str:
    """The name of a value, a row or a column as the trade writes it: fields are named without dots and capitals."""
    return _WORD.sub(lambda found: _AS_WRITTEN[found[0].lower()], text.replace("_", " "))


_AS_WRITTEN = {
    "rcd type": "type",
    "bound non operating": "non-operating",
    "bound operating": "operating",
    "non operating": "non-operating",
    "non actuating": "non-actuating",
    "smooth dc": "smooth d.c.",
    "type b": "type B",
    "type f": "type F",
    "hz": "Hz",
    "k factor": "factor k",
}
_WORD = re.compile(rf"\b(?:{'|'.join(_AS_WRITTEN)})\b", re.IGNORECASE)


@blueprint.app_template_global("grid_of")
def grid(table: LimitTable) -> Grid:
    """A table of limits as it is laid out."""
    return grid_of(table)
