"""The rule book on pages: an index that can be searched, and one page for each rule."""

from __future__ import annotations

from itertools import groupby

from flask import abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.domain.generator.request import TaskRequest
from trainer.domain.questions.registry import families_for_rule
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.objectives import objectives
from trainer.services.rulebook.editions import changes_of, is_of_the_book, seen_in
from trainer.services.rulebook.exercises import exercises_of, practice_task, traps_on
from trainer.services.rulebook.limit_tables import limit_table, limit_tables
from trainer.services.rulebook.pages import page_texts
from trainer.services.rulebook.rules import answering, matching, rule_of, subject_of
from trainer.services.scenarios import make_task, scenarios
from trainer.web.learner import learner_with_record
from trainer.web.practice.wired import practice
from trainer.web.rules import links, reading
from trainer.web.rules.blueprint import blueprint
from trainer.web.rules.examples import shown_example
from trainer.web.wiring import wiring

__all__ = ["blueprint", "links", "reading"]

_LONGEST_QUERY = 100
_MOST_PLACES = 8


@blueprint.get("")
def index() -> str:
    """All rules of an edition by subject, or those in which everything searched for occurs."""
    query = request.args.get("q", "")[:_LONGEST_QUERY]
    edition = edition_asked("edition", DEFAULT_EDITION)
    found = matching(query, edition)
    return render_template(
        "rules/index.html",
        query=query,
        edition=edition,
        editions=list(Edition),
        groups=[(subject, list(rules)) for subject, rules in groupby(found, subject_of)],
        found=len(found),
        in_all=len(ALL_RULES),
        rule_set_version=rule_set_version(),
    )


def edition_asked(name: str, otherwise: Edition) -> Edition:
    """The edition that the address names, or another where it names none."""
    text = request.args.get(name)
    if not text:
        return otherwise
    if text not in set(Edition):
        abort(404)
    return Edition(text)


@blueprint.get("/<rule_id>")
def page(rule_id: str) -> str:
    """One rule: what it demands, why, its values, how it judges, what it leaves out, where to practise it."""
    rule = rule_of(rule_id)
    text = page_texts()[rule.id]
    edition = DEFAULT_EDITION if DEFAULT_EDITION in rule.editions else max(rule.editions)
    known = exercises_of(rule.id)
    return render_template(
        "rules/page.html",
        rule=rule,
        text=text,
        edition=edition,
        editions=list(Edition),
        of_the_book=is_of_the_book(rule),
        seen=seen_in(rule, DEFAULT_EDITION),
        changes=changes_of(rule.id),
        tables=[limit_table(path, edition) for path in text.limits],
        also_read=[limit_tables(edition)[path] for path in known.reads if path not in text.limits],
        example=shown_example(rule, text.example, edition),
        misconceptions=answering(rule, tuple(scenarios().misconceptions.values())),
        objectives=objectives(),
        subject=subject_of(rule),
        rule_set_version=rule_set_version(),
        **_practice(rule),
    )


def _practice(rule: Rule) -> dict[str, object]:
    """Where a rule is practised: premises and levels, decisions, traps, families of questions."""
    data, known = scenarios(), exercises_of(rule.id)
    names = {each.archetype for each in known.places} & set(data.archetypes)
    return {
        "exercises": known,
        "premises": sorted(data.archetypes[name].label for name in names),
        "kinds": [kind.value for kind in TaskKind if kind in {each.kind for each in known.places}],
        "levels": sorted({each.level for each in known.places}),
        "decisions": [
            data.decisions[kind].question.replace("{place}", "…").replace("{label}", "…")
            for kind in known.decisions
            if kind in data.decisions
        ],
        "traps": traps_on(rule.id, data.traps),
        "questions": [each.title for each in families_for_rule(rule.id)],
    }


@blueprint.post("/<rule_id>/practise")
def practise(rule_id: str) -> Response:
    """Makes a task that turns on the rule, or asks a question that rests on it, and goes to its page."""
    rule = rule_of(rule_id)
    task = practice_task(rule, make_task, wiring().new_seed)
    families = families_for_rule(rule.id)
    if task is None and families:
        family = families[wiring().new_seed() % len(families)]
        seed = wiring().new_seed()
        task = make_task(TaskRequest(seed=seed, level=family.level, kind=TaskKind.QUESTION, family=family.id))
    if task is None:
        abort(404)
    page_id = practice().show(task, learner_with_record().id)
    return redirect(url_for("practice.task", page_id=page_id), code=303)
