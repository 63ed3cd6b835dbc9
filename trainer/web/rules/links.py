"""Ids of rules in a text become links to their pages."""

from __future__ import annotations

import re

from flask import url_for
from markupsafe import Markup, escape

from trainer.domain.rules.book import ALL_RULES
from trainer.explain.numbers import sign
from trainer.services.limit_tables import Grid, LimitTable, grid_of
from trainer.web.rules.blueprint import blueprint

_IDS = frozenset(rule.id for rule in ALL_RULES)
_ID = re.compile(r"\b[A-Z][A-Z0-9]{1,4}-\d{2}[A-Z]?\b")


@blueprint.app_template_filter("rule_links")
def rule_links(text: str) -> Markup:
    """The text with each id of a rule as a link."""
    return Markup(_ID.sub(_linked, str(escape(text))))  # noqa: S704 - escaped before the links are put in


def _linked(found: re.Match[str]) -> str:
    rule_id = found[0]
    if rule_id not in _IDS:
        return rule_id
    return f'<a href="{url_for("rules.page", rule_id=rule_id)}">{rule_id}</a>'


@blueprint.app_template_global("unit_sign")
def unit_sign(unit: str) -> str:
    """The unit as it is printed."""
    return sign(unit)


@blueprint.app_template_global("grid_of")
def grid(table: LimitTable) -> Grid:
    """A table of limits as it is laid out."""
    return grid_of(table)
