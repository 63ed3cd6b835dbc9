"""Jinja without a web framework: the environment in which words, drawings and explanations are made."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping
from functools import cache
from gettext import NullTranslations
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_eval_context, select_autoescape
from jinja2.nodes import EvalContext
from markupsafe import Markup, escape

from trainer.explain.fault_shape import fault_shape
from trainer.explain.numbers import plain, quantity, sign
from trainer.resources import folder


class Engine:
    """Renders templates in one language."""

    def __init__(
        self,
        gettext: Callable[[str], str] | None = None,
        ngettext: Callable[[str, str, int], str] | None = None,
    ) -> None:
        plainly = NullTranslations()
        self._macros: dict[tuple[str, str], Callable[..., Markup] | None] = {}
        self._said: dict[tuple[str, str, Hashable], Markup] = {}
        self._told: tuple[object, dict[Any, Any]] = (None, {})
        self.gettext = gettext or plainly.gettext
        self.environment = Environment(
            loader=FileSystemLoader(folder("templates")),
            autoescape=select_autoescape(["html", "svg"]),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            extensions=["jinja2.ext.i18n"],
        )
        self.environment.install_gettext_callables(  # type: ignore[attr-defined]
            self.gettext, ngettext or plainly.ngettext, newstyle=True
        )
        self.environment.globals["gettext"] = filled_gettext(self.gettext)
        self.environment.globals.update(plain=plain, quantity=quantity, unit_sign=sign, fault_shape=fault_shape)

    def render(self, template: str, values: Mapping[str, Any]) -> Markup:
        """The template filled with values."""
        return Markup(self.environment.get_template(template).render(values))  # noqa: S704 - escaped by the template

    def macro(self, template: str, name: str) -> Callable[..., Markup] | None:
        """A macro of a template, or None where it has none of that name."""
        key = (template, name)
        if key not in self._macros:
            found = getattr(self.environment.get_template(template).module, name, None)
            self._macros[key] = found if callable(found) else None
        return self._macros[key]

    def told_of(self, subject: object) -> dict[Any, Any]:
        """A place for what was already told of something; that of the thing before is given up."""
        known, told = self._told
        if known is not subject or len(told) >= _MOST_TOLD:
            told = {}
            self._told = (subject, told)
        return told

    def said_once(self, template: str, name: str, about: Hashable) -> Markup:
        """The words of a macro about something that many findings have in common; each is made once."""
        key = (template, name, about)
        words = self._said.get(key)
        if words is None:
            macro = self.macro(template, name)
            if macro is None:
                raise LookupError(f"{template}: no macro {name}")
            words = self._said[key] = macro(about)
        return words


_MOST_TOLD = 1024
"""Texts about one thing that are kept; several times what a whole house gives."""

_PLACE = re.compile(r"%(?:\((\w+)\)s|%)")


def filled_gettext(gettext: Callable[[str], str]) -> Callable[..., str]:
    """The translation that templates call, with values put into its places.

    Jinja's own splits each sentence anew at every call; here the pieces are kept.
    """
    kept: dict[str, tuple[str, ...]] = {}

    @pass_eval_context
    def filled(context: EvalContext, sentence: str, **values: object) -> str:
        pieces = kept.get(sentence)
        if pieces is None:
            pieces = kept[sentence] = _pieces(gettext(sentence))
        if len(pieces) == 1:
            words = pieces[0]
        else:
            put = escape if context.autoescape else str
            filled_in = list(pieces)
            filled_in[1::2] = [str(put(values[name])) for name in pieces[1::2]]
            words = "".join(filled_in)
        return Markup(words) if context.autoescape else words  # noqa: S704 - its values are escaped above

    return filled


def _pieces(sentence: str) -> tuple[str, ...]:
    """A sentence as text, name of a value, text, and so on; a doubled per cent sign is text."""
    pieces = [""]
    end = 0
    for match in _PLACE.finditer(sentence):
        pieces[-1] += sentence[end : match.start()]
        end = match.end()
        if match[1] is None:
            pieces[-1] += "%"
        else:
            pieces += [match[1], ""]
    pieces[-1] += sentence[end:]
    return tuple(pieces)


@cache
def plain_engine() -> Engine:
    """The engine in the language of the templates themselves."""
    return Engine()
