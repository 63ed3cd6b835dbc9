"""Terms of the glossary, explained with a card where a page says them first."""

from __future__ import annotations

import re
from functools import cache

from flask import g
from markupsafe import Markup, escape

from trainer.services.rulebook.glossary import Term, glossary
from trainer.web.notes.blueprint import blueprint

_ON_THIS_PAGE = "trainer_terms"


@blueprint.app_template_filter("explained")
def explained(text: str) -> Markup:
    """The text with each term that the page has not said before as a button that opens its card."""
    told = _pattern().sub(_button, str(escape(text)))
    return Markup(told)  # noqa: S704 - escaped before the buttons are put in


@blueprint.app_template_global("terms_told")
def terms_told() -> tuple[Term, ...]:
    """The terms that were explained on this page so far, in the order in which they were said."""
    return tuple(_told())


def _told() -> list[Term]:
    if _ON_THIS_PAGE not in g:
        setattr(g, _ON_THIS_PAGE, [])
    found: list[Term] = getattr(g, _ON_THIS_PAGE)
    return found


def _button(found: re.Match[str]) -> str:
    term = _terms()[found[0].lower()]
    told = _told()
    if term in told:
        return found[0]
    told.append(term)
    return f'<button type="button" class="term" popovertarget="term-{term.id}">{found[0]}</button>'


@cache
def _terms() -> dict[str, Term]:
    return {said.lower(): term for term in glossary() for said in term.said}


@cache
def _pattern() -> re.Pattern[str]:
    """Every way to put a term, the longest first, as whole words."""
    said = sorted(_terms(), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, said))})(?![\w-])", re.IGNORECASE)
