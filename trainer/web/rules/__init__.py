"""The rule book on pages: an index that can be searched, and one page for each rule."""

from __future__ import annotations

from functools import cache
from itertools import groupby

from flask import Blueprint, render_template, request

from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.explain.explanation import explain
from trainer.interop.installations import read_installation
from trainer.resources import folder
from trainer.services.objectives import objectives
from trainer.services.rulebook import answering, matching, rule_of, subject_of, worked_examples
from trainer.services.scenarios import scenarios

blueprint = Blueprint("rules", __name__, url_prefix="/rules")

_LONGEST_QUERY = 100


@blueprint.get("")
def index() -> str:
    """All rules by subject, or those in which every word of the search occurs."""
    query = request.args.get("q", "")[:_LONGEST_QUERY]
    found = matching(query, DEFAULT_EDITION)
    return render_template(
        "rules/index.html",
        query=query,
        groups=[(subject, list(rules)) for subject, rules in groupby(found, subject_of)],
        found=len(found),
        in_all=len(ALL_RULES),
        rule_set_version=rule_set_version(),
    )


@blueprint.get("/<rule_id>")
def page(rule_id: str) -> str:
    """One rule: what it demands, why, where it is stated, and how it judges an example."""
    rule = rule_of(rule_id)
    return render_template(
        "rules/page.html",
        rule=rule,
        edition=DEFAULT_EDITION,
        examples=[
            (each, explain(each.finding, each.installation, edition=DEFAULT_EDITION))
            for each in worked_examples(rule, _examples())
        ],
        misconceptions=answering(rule, tuple(scenarios().misconceptions.values())),
        objectives=objectives(),
        rule_set_version=rule_set_version(),
    )


@cache
def _examples() -> tuple[Installation, ...]:
    """The installations written by hand that the program ships."""
    files = sorted((folder("scenarios") / "examples").glob("*.toml"))
    return tuple(read_installation(file.read_bytes()).installation for file in files)
