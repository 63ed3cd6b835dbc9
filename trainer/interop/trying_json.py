"""A value moved over a range, as the object that ``trainer flip`` prints for machines."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.findings import Finding
from trainer.interop.findings_json import citation_json
from trainer.interop.problems import errors_json
from trainer.services.trying.moving import Flip, Key, Step, Sweep
from trainer.services.trying.places import Place, Value

SWEEP_FORMAT: Final = "protection-trainer/sweep"
SWEEP_FORMAT_VERSION: Final = 1
PLACES_FORMAT: Final = "protection-trainer/places"


def sweep_json(result: Sweep, caution: str) -> dict[str, Any]:
    """A sweep: each step with the findings that flip or move, and each flip with both of its sides."""
    keys = (*result.flipping, *result.moving)
    return {
        "format": SWEEP_FORMAT,
        "format_version": SWEEP_FORMAT_VERSION,
        "edition": result.edition.value,
        "rule_set_version": result.rule_set_version,
        "title": result.house.title,
        "moved": place_json(result.place),
        "rules": [rule.id for rule in result.rules],
        "flips": [_flip(each) for each in result.flips],
        "moving": [{"rule": rule, "subject": subject} for rule, subject in result.moving],
        "steps": [_step(step, keys) for step in result.steps],
        "caution": caution,
    }


def place_json(place: Place) -> dict[str, Any]:
    """A value that can be moved; its number is given with its unit."""
    return {
        "path": place.path,
        "kind": place.kind.value,
        "now": place.value,
        "unit": place.unit,
        "optional": place.optional,
        "choices": list(place.choices),
    }


def places_json(found: tuple[Place, ...]) -> dict[str, Any]:
    """All values of an installation that can be moved."""
    return {"format": PLACES_FORMAT, "format_version": SWEEP_FORMAT_VERSION, "places": [*map(place_json, found)]}


def _flip(each: Flip) -> dict[str, Any]:
    rule, subject = each.key
    return {
        "rule": rule,
        "subject": subject,
        # The number moved stands apart from the finding, whose unit is another.
        "below": {"at": each.below.value, "finding": _said(each.before)},
        "above": {"at": each.above.value, "finding": _said(each.after)},
        "exact": each.exact,
        "citation": citation_json(each.either.citation),
    }


def _said(finding: Finding | None) -> dict[str, Any] | None:
    if finding is None:
        return None
    verdict = finding.verdict
    return {
        "outcome": finding.outcome.value,
        "value": verdict.value,
        "limit": verdict.limit,
        "unit": verdict.unit,
        "missing": list(verdict.missing),
    }


def _step(step: Step, keys: tuple[Key, ...]) -> dict[str, Any]:
    at: Value = step.value
    findings = [
        {"rule": key[0], "subject": key[1], "finding": _said(step.findings[key])}
        for key in keys
        if key in step.findings
    ]
    return {"at": at, "findings": findings, "problems": errors_json(step.problems)["errors"]}
