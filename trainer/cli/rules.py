"""``trainer rules``: the rule book, whole or one rule."""

from __future__ import annotations

import textwrap

import click

from trainer.cli.output import JSON, errors_as, format_option, print_json
from trainer.cli.rule_text import rule_page
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.interop.findings_json import citation_json
from trainer.services.rulebook.pages import page_texts
from trainer.services.rulebook.rules import matching, rule_of, subject_of


@click.command()
@click.argument("rule_id", required=False, metavar="[ID]")
@click.option("--search", "query", default="", help="Only rules in which all these words occur.")
@click.option(
    "--edition",
    type=click.Choice([each.value for each in Edition]),
    default=DEFAULT_EDITION.value,
    show_default=True,
    help="Edition under which the rules are listed.",
)
@click.option("--not-covered", is_flag=True, help="List what no rule judges.")
@format_option
def rules(rule_id: str | None, query: str, edition: str, not_covered: bool, form: str) -> None:
    """List the rules, or print one: what it demands, why, where it is stated, how well that is known."""
    judged_under = Edition(edition)
    with errors_as(form):
        chosen = [rule_of(rule_id)] if rule_id else matching(query, judged_under)
    if form == JSON:
        document = {
            "format": "protection-trainer/rules",
            "format_version": 1,
            "edition": judged_under.value,
            "rule_set_version": rule_set_version(),
            "not_covered": list(NOT_COVERED),
            "rules": [rule_to_json(each) for each in chosen],
        }
        print_json(document)
    elif not_covered:
        for line in NOT_COVERED:
            click.echo(textwrap.fill(line, 88, subsequent_indent="  "))
    elif rule_id:
        click.echo(rule_page(chosen[0], judged_under))
    else:
        for each in chosen:
            click.echo(f"{each.id:8} {each.citation.clause:34.34} {each.statement}")
        click.echo(f"{len(chosen)} of {len(ALL_RULES)} rules; rule set {rule_set_version()}")


def rule_to_json(rule: Rule) -> dict[str, object]:
    """One rule as plain values."""
    text = page_texts()[rule.id]
    return {
        "id": rule.id,
        "subject": subject_of(rule),
        "judges": rule.over.value,
        "statement": rule.statement,
        "condition": text.condition,
        "why": rule.why,
        "remedy": rule.remedy,
        "assumes": rule.assumes,
        "not_covered": list(text.not_covered),
        "formula": rule.formula,
        "limits": list(text.limits),
        "consequence": rule.consequence.value,
        "objectives": list(rule.objectives),
        "editions": sorted(each.value for each in rule.editions),
        "iec": rule.iec,
        "citation": {**citation_json(rule.citation), "note": rule.citation.note},
    }
