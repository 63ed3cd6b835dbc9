"""A check in words: the findings by outcome, each with number, limit, source and remedy."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from trainer.domain.citations import Citation
from trainer.domain.findings import Finding, Value, within
from trainer.domain.installation import Installation
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.vocabulary import Edition, Outcome
from trainer.explain.caution import Translate, caution_paragraphs
from trainer.explain.explanation import as_text, explain
from trainer.explain.numbers import quantity
from trainer.services.checking import Check

_ORDER: Final = (Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED, Outcome.ADVICE, Outcome.COMPLIES)


def check_report(result: Check, _: Translate = str) -> str:
    """The whole report as plain text; its last line says what was judged and what was not."""
    lines = [result.installation.title, _heading(result, _), ""]
    for outcome in _ORDER:
        found = [finding for finding in result.findings if finding.outcome is outcome]
        if found:
            lines.extend([f"{_outcome_words(_)[outcome]} ({len(found)})", ""])
            for finding in found:
                lines.extend([*_finding(finding, result, _), ""])
    lines.extend([*caution_paragraphs(_), "", closing_line(result, _)])
    return "\n".join(lines) + "\n"


def closing_line(result: Check, _: Translate = str) -> str:
    """How many findings fail among how many rules, and what no rule judged."""
    failing = result.count(Outcome.DOES_NOT_COMPLY)
    undetermined = result.count(Outcome.UNDETERMINED)
    if failing:
        start = _("failing findings: {count}, among {rules} rules judged")
    elif undetermined:
        start = _("no failing finding among {rules} rules judged, but {open} undetermined")
    else:
        start = _("no failing finding among {rules} rules judged")
    said = start.format(count=failing, rules=result.rules_judged, open=undetermined)
    return f"{said}; {_('not covered')}: {'; '.join([*(_(each) for each in NOT_COVERED), *_idle(result, _)])}"


def subject_label(house: Installation, path: str) -> str:
    """A subject as people call it: its label and its path."""
    collection, _, key = path.partition(".")
    record = getattr(house, collection, {}).get(key) if key else None
    label = getattr(record, "label", "")
    return f"{label} ({path})" if label else path


def citation_words(citation: Citation, edition: Edition, _: Translate = str) -> str:
    """Publication, clause, edition in which it was seen, and how well it is known."""
    seen = f", {_('as in')} {citation.edition}" if citation.edition else ""
    compare = f"; {_('compare with the current book')}" if citation.compare_with_current_book(edition) else ""
    return f"{citation.publication} {citation.clause}{seen}{compare} ({citation.status})"


def _heading(result: Check, _: Translate) -> str:
    return _("Judged under {edition}, rule set {version}.").format(
        edition=f"BS 7671:2018, {result.edition}", version=result.rule_set_version
    )


def _outcome_words(_: Translate) -> dict[Outcome, str]:
    return {
        Outcome.DOES_NOT_COMPLY: _("Does not comply"),
        Outcome.UNDETERMINED: _("Undetermined"),
        Outcome.ADVICE: _("Advice"),
        Outcome.COMPLIES: _("Nothing against it"),
    }


def _finding(finding: Finding, result: Check, _: Translate) -> Iterator[str]:
    label = subject_label(result.installation, finding.subject)
    yield f"  {finding.rule.id}  {label}: {finding.rule.statement}"
    number = _number(finding, _)
    if number:
        yield f"    {number}"
    if _needs_words(finding):
        yield f"    {as_text(explain(finding, result.installation, edition=result.edition).happens)}"
    if finding.verdict.missing:
        yield f"    {_('Missing')}: {', '.join(finding.verdict.missing)}"
    yield f"    {citation_words(finding.citation, result.edition, _)}"
    if finding.outcome in (Outcome.DOES_NOT_COMPLY, Outcome.ADVICE):
        yield f"    {_('Remedy')}: {finding.rule.remedy}"


def _needs_words(finding: Finding) -> bool:
    """True where the numbers alone do not show why nothing is against it: a value above its limit."""
    value, limit = finding.verdict.value, finding.verdict.limit
    if finding.outcome is not Outcome.COMPLIES or isinstance(value, str) or isinstance(limit, str):
        return False
    return value is not None and limit is not None and not within(value, limit)


def _number(finding: Finding, _: Translate) -> str:
    verdict = finding.verdict
    parts = []
    if verdict.value is not None:
        parts.append(f"{_('Value')} {_shown(verdict.value, verdict.unit)}")
    if verdict.limit is not None:
        parts.append(f"{_('limit')} {_shown(verdict.limit, verdict.unit)}")
    terms = ", ".join(f"{term.name} {quantity(term.value, term.unit)}" for term in finding.terms)
    return ", ".join(parts) + (f" ({terms})" if terms else "")


def _shown(value: Value, unit: str) -> str:
    return quantity(value, unit) if isinstance(value, int | float) else str(value)


def _idle(result: Check, _: Translate) -> Iterator[str]:
    if result.idle:
        yield f"{_('rules with nothing to judge here')}: {', '.join(rule.id for rule in result.idle)}"
    if result.other_editions:
        yield f"{_('rules of other editions')}: {', '.join(rule.id for rule in result.other_editions)}"
