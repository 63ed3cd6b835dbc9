"""``trainer rules``: the rule book, whole or one rule."""

from __future__ import annotations

import textwrap

import click

from trainer.cli.output import JSON, errors_as, format_option, print_json
from trainer.domain.citations import Citation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.interop.findings_json import citation_json
from trainer.services.rulebook import matching, rule_of, subject_of

_WIDTH = 88


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
@format_option
def rules(rule_id: str | None, query: str, edition: str, form: str) -> None:
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
            "rules": [rule_to_json(each) for each in chosen],
        }
        print_json(document)
    elif rule_id:
        click.echo(_page(chosen[0], judged_under))
    else:
        for each in chosen:
            click.echo(f"{each.id:8} {each.citation.clause:34.34} {each.statement}")
        click.echo(f"{len(chosen)} of {len(ALL_RULES)} rules; rule set {rule_set_version()}")


def rule_to_json(rule: Rule) -> dict[str, object]:
    """One rule as plain values."""
    return {
        "id": rule.id,
        "subject": subject_of(rule),
        "judges": rule.over.value,
        "statement": rule.statement,
        "why": rule.why,
        "remedy": rule.remedy,
        "assumes": rule.assumes,
        "formula": rule.formula,
        "consequence": rule.consequence.value,
        "objectives": list(rule.objectives),
        "editions": sorted(each.value for each in rule.editions),
        "iec": rule.iec,
        "citation": {**citation_json(rule.citation), "note": rule.citation.note},
    }


def _page(rule: Rule, edition: Edition) -> str:
    parts = [
        f"{rule.id}  {rule.statement}",
        _headed("Why", rule.why),
        _headed("Remedy", rule.remedy),
        _headed("Formula", rule.formula),
        _headed("Assumes", rule.assumes),
        _headed("At stake", rule.consequence.value),
        _headed("Stated in", _stated(rule.citation, edition)),
        _headed("International", rule.iec),
        _headed("Holds in", ", ".join(sorted(each.value for each in rule.editions))),
        _headed("Objectives", ", ".join(rule.objectives)),
    ]
    return "\n".join(part for part in parts if part)


def _stated(citation: Citation, edition: Edition) -> str:
    text = f"{citation.publication}, {citation.clause} ({citation.status.value})"
    if citation.compare_with_current_book(edition):
        text += f"; number as in {citation.edition}, compare with the current book"
    if citation.checked_on is None:
        text += "; not yet compared with the printed clause"
    return text + (f". {citation.note}" if citation.note else "")


def _headed(heading: str, text: str) -> str:
    if not text:
        return ""
    return textwrap.fill(
        text, _WIDTH, initial_indent=f"  {heading}: ", subsequent_indent="    ", break_on_hyphens=False
    )
