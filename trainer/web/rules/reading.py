"""Pages beside the rules: all values, all sources, what is not covered, two editions compared."""

from __future__ import annotations

from itertools import groupby

from flask import abort, render_template, request

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.rulebook.editions import compared, edition_notes
from trainer.services.rulebook.exercises import exercises_of
from trainer.services.rulebook.glossary import glossary
from trainer.services.rulebook.limit_tables import limit_tables
from trainer.services.rulebook.pages import page_texts
from trainer.services.rulebook.rules import subject_of
from trainer.services.rulebook.sources import publications
from trainer.web.rules.blueprint import blueprint


@blueprint.get("/tables")
def tables() -> str:
    """Every value and table of the rules with unit, source, status and the rules that read it."""
    readers: dict[str, list[str]] = {}
    for rule in ALL_RULES:
        for path in exercises_of(rule.id).reads:
            readers.setdefault(path, []).append(rule.id)
    everything = limit_tables(DEFAULT_EDITION).values()
    return render_template(
        "rules/tables.html",
        groups=[(name, list(tables)) for name, tables in groupby(everything, lambda each: each.group)],
        readers=readers,
        edition=DEFAULT_EDITION,
        rule_set_version=rule_set_version(),
    )


@blueprint.get("/sources")
def sources() -> str:
    """Every publication with what rests on it and how that is known."""
    return render_template("rules/sources.html", publications=publications(), notes=edition_notes())


@blueprint.get("/not-covered")
def not_covered() -> str:
    """What no rule judges, and what each rule leaves out."""
    return render_template(
        "rules/not_covered.html",
        subjects=NOT_COVERED,
        groups=[(subject, list(rules)) for subject, rules in groupby(ALL_RULES, subject_of)],
        texts=page_texts(),
    )


@blueprint.get("/editions")
def editions() -> str:
    """Two editions compared: rules that came or went, values that differ, what is known to have changed."""
    known = list(Edition)
    return render_template(
        "rules/editions.html",
        editions=known,
        notes=edition_notes(),
        comparison=compared(_edition("from", known[0]), _edition("to", DEFAULT_EDITION)),
    )


def _edition(name: str, otherwise: Edition) -> Edition:
    text = request.args.get(name) or otherwise.value
    if text not in set(Edition):
        abort(404)
    return Edition(text)


@blueprint.get("/terms")
def terms() -> str:
    """The glossary."""
    return render_template("rules/terms.html", terms=glossary())
