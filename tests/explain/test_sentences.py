"""Sentences filled with values, against the filling that Jinja itself ships with its translations."""

from __future__ import annotations

import pytest
from jinja2 import DictLoader, Environment, select_autoescape
from markupsafe import Markup

from trainer.explain.engine import Engine

TEMPLATES = {
    "plain.html": "{% trans %}Nothing to fill in.{% endtrans %}",
    "values.html": "{% trans a=x, b=y %}{{ a }} lies above {{ b }}, and {{ a }} again{% endtrans %}",
    "percent.html": "{% trans a=x %}5 % of {{ a }} or 100%{% endtrans %}",
    "text.txt": "{% trans a=x %}as it is: {{ a }}{% endtrans %}",
}
VALUES = [{"x": "3\u00a0A", "y": 4}, {"x": "<b>&", "y": "%(x)s"}, {"x": Markup("<cite>1</cite>"), "y": None}]


def turned(sentence: str) -> str:
    return sentence.replace("Nothing", "Nichts").replace("lies above", "liegt über")


def by_jinja() -> Environment:
    environment = Environment(
        loader=DictLoader(TEMPLATES), extensions=["jinja2.ext.i18n"], autoescape=select_autoescape(["html"])
    )
    environment.install_gettext_callables(turned, lambda one, _many, _n: one, newstyle=True)  # type: ignore[attr-defined]
    return environment


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("values", VALUES)
def test_a_sentence_reads_as_jinjas_own_translation_fills_it(name: str, values: dict[str, object]) -> None:
    engine = Engine(gettext=turned)
    engine.environment.loader = DictLoader(TEMPLATES)
    expected = by_jinja().get_template(name).render(values)
    assert engine.environment.get_template(name).render(values) == expected
    assert engine.environment.get_template(name).render(values) == expected
