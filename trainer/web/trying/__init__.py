"""The carer's bench: one value of an installation moved, and which findings flip where."""

from __future__ import annotations

from dataclasses import replace

from flask import Blueprint, render_template, request
from flask_babel import gettext

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.rules.book import ALL_RULES
from trainer.explain.check_report import citation_words
from trainer.explain.numbers import sign
from trainer.explain.trying_words import at, moved, said, side
from trainer.services.trying.moving import Sweep, sweep
from trainer.services.trying.places import places
from trainer.web.access import PUBLIC, Access
from trainer.web.practice.wired import translated_engine
from trainer.web.trying.cards import cards_of
from trainer.web.trying.forms import Asked, Bench, asked_of, bench_of, examples, groups_of
from trainer.web.trying.names import field_words, place_words, record_words
from trainer.web.trying.plots import plots_of

blueprint = Blueprint("trying", __name__)

ACCESS: dict[str, Access] = {"trying.show": PUBLIC}

_AT_MOST = 8
_PROBLEMS_SHOWN = 20


@blueprint.route("/try", methods=["GET", "POST"])
def show() -> tuple[str, int]:
    """The bench for what the address or the form names; what cannot be is told beside the form, which stays."""
    form = request.form if request.method == "POST" else request.args
    bench, problems = bench_of(form)
    asked: Asked | None = None
    result: Sweep | None = None
    if bench is not None:
        try:
            asked = asked_of(form, bench)
            result = sweep(bench.house, asked.place, asked.values, asked.rules, bench.edition)
        except TrainerError as error:
            problems = error.problems
            asked = asked or asked_of({}, bench)
    page = render_template(
        "trying/page.html",
        bench=bench,
        asked=asked,
        result=result,
        problems=problems[:_PROBLEMS_SHOWN],
        more_problems=max(0, len(problems) - _PROBLEMS_SHOWN),
        form=form,
        examples=examples(),
        groups=groups_of(places(bench.house)) if bench else (),
        rules=ALL_RULES,
        **_words(bench, result),
    )
    return page, 400 if problems else 200


def _words(bench: Bench | None, result: Sweep | None) -> dict[str, object]:
    """What the template says of places, findings and sources, in the language of the request."""
    engine = translated_engine()
    return {
        "at": lambda place, value: at(place, value, gettext),
        "said": lambda finding: said(finding, gettext),
        "told_at": lambda step, key: side(result, step, key, gettext, engine) if result else "",
        "field_words": lambda path: field_words(path, engine.gettext),
        "place_words": lambda path: place_words(bench.house, path, engine.gettext) if bench else path,
        "record_words": lambda path: record_words(bench.house, path, engine.gettext) if bench else path,
        "source": lambda finding: citation_words(finding.citation, bench.edition, gettext) if bench else "",
        "moved": moved(result, gettext, place_words(result.house, result.place.path, engine.gettext)) if result else "",
        "plots": plots_of(result) if result else {},
        "cards": cards_of(result) if result else (),
        "sign": sign,
        "told": _told,
    }


def _told(problem: Problem) -> str:
    """A problem in one line, without lists that fill a page."""
    return str(replace(problem, possible=problem.possible[:_AT_MOST]))
