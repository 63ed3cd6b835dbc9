"""The words of templates, translated by the catalogue of the request, which is looked up once."""

from __future__ import annotations

from typing import Any

from flask import Flask, g
from flask_babel import get_translations

_CATALOGUE = "trainer_catalogue"


def install(app: Flask) -> None:
    """Lets templates translate by the functions below: a page has some hundred and fifty pieces of text."""
    app.jinja_env.install_gettext_callables(_one, _several, newstyle=True)  # type: ignore[attr-defined]


def _one(text: str) -> str:
    return str(_catalogue().ugettext(text))


def _several(one: str, several: str, number: int) -> str:
    return str(_catalogue().ungettext(one, several, number))


def _catalogue() -> Any:
    known = g.get(_CATALOGUE)
    if known is None:
        known = get_translations()
        setattr(g, _CATALOGUE, known)
    return known
