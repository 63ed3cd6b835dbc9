"""Jinja without a web framework: the environment in which words, drawings and explanations are made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from gettext import NullTranslations
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

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


@cache
def plain_engine() -> Engine:
    """The engine in the language of the templates themselves."""
    return Engine()
