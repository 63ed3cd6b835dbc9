"""Findings, citations and whole checks as the objects that commands print for machines."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.citations import Citation
from trainer.domain.findings import Finding
from trainer.services.checking import Check

CHECK_FORMAT: Final = "protection-trainer/check"
CHECK_FORMAT_VERSION: Final = 1


def citation_json(citation: Citation) -> dict[str, Any]:
    """Publication, edition, clause, status and the date of comparison with the print."""
    return {
        "publication": citation.publication,
        "edition": citation.edition,
        "clause": citation.clause,
        "status": citation.status.value,
        "checked_on": citation.checked_on,
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """One finding with its terms spelt out."""
    verdict = finding.verdict
    return {
        "rule": finding.rule.id,
        "subject": finding.subject,
        "outcome": finding.outcome.value,
        "value": verdict.value,
        "limit": verdict.limit,
        "unit": verdict.unit,
        "terms": [{"name": term.name, "value": term.value, "unit": term.unit} for term in finding.terms],
        "missing": list(verdict.missing),
        "consequence": finding.consequence.value,
        "citation": citation_json(finding.citation),
    }


def check_json(result: Check, caution: str) -> dict[str, Any]:
    """A whole check; the caution goes with it."""
    return {
        "format": CHECK_FORMAT,
        "format_version": CHECK_FORMAT_VERSION,
        "edition": result.edition.value,
        "rule_set_version": result.rule_set_version,
        "verdict": result.verdict.value,
        "rules_judged": result.rules_judged,
        "not_covered": list(result.not_covered),
        "findings": [finding_json(finding) for finding in result.findings],
        "caution": caution,
    }
