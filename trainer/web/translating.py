"""The words of templates, translated by the catalogue of the request, which is looked up once.

A sentence is taken apart once for each catalogue; Jinja's own function does it at every call.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from babel import Locale
from flask import Flask, current_app, g
from flask_babel import get_translations
from jinja2 import pass_eval_context
from jinja2.nodes import EvalContext

from trainer.explain.engine import filled_gettext

_CATALOGUE = "trainer_catalogue"
_FILLED = "trainer.filled_gettext"
_FILL = "trainer_fill"


@cache
def language() -> Locale:
    """The language of every page, read once: the library would read its name anew for each request."""
    return Locale.parse("en_GB")


def install(app: Flask) -> None:
    """Lets templates translate by the functions below: a page has some hundred and fifty pieces of text."""
    app.jinja_env.install_gettext_callables(gettext, _several, newstyle=True)  # type: ignore[attr-defined]
    app.jinja_env.globals["gettext"] = _filled
    app.extensions[_FILLED] = {}


@pass_eval_context
def _filled(context: EvalContext, sentence: str, **values: object) -> str:
    fill = g.get(_FILL) or _looked_up()
    return fill(context, sentence, **values)


def _looked_up() -> Callable[..., str]:
    """What fills sentences in the language of the request."""
    catalogue, known = _catalogue(), current_app.extensions[_FILLED]
    if id(catalogue) not in known:
        known[id(catalogue)] = (catalogue, filled_gettext(catalogue.ugettext))
    fill: Callable[..., str] = known[id(catalogue)][1]
    setattr(g, _FILL, fill)
    return fill


def gettext(sentence: str) -> str:
    """A sentence in the language of the request, with its places still to be filled."""
    return str(_catalogue().ugettext(sentence))


def _several(one: str, several: str, number: int) -> str:
    return str(_catalogue().ungettext(one, several, number))


def _catalogue() -> Any:
    known = g.get(_CATALOGUE)
    if known is None:
        known = get_translations()
        setattr(g, _CATALOGUE, known)
    return known
