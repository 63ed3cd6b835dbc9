"""What flips, put together: subjects of which a rule says the same over the whole sweep share one card."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.findings import Finding
from trainer.domain.rules.registry import Rule
from trainer.services.trying.moving import Flip, Key, Sweep


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One rule with all subjects that it treats alike; ``key`` is the finding that speaks for them."""

    rule: Rule
    key: Key
    subjects: tuple[str, ...]
    flips: tuple[Flip, ...]


def cards_of(result: Sweep) -> tuple[Card, ...]:
    """A card for each rule and course of its findings, in the order of the rules."""
    alike: dict[object, list[Key]] = {}
    for key in result.flipping:
        alike.setdefault((key[0], _course(result, key)), []).append(key)
    return tuple(
        Card(
            rule=next(rule for rule in result.rules if rule.id == keys[0][0]),
            key=keys[0],
            subjects=tuple(subject for _, subject in keys),
            flips=_flips(result, keys[0]),
        )
        for keys in alike.values()
    )


def _flips(result: Sweep, key: Key) -> tuple[Flip, ...]:
    return tuple(each for each in result.flips if each.key == key)


def _course(result: Sweep, key: Key) -> object:
    """All that a finding says over the sweep and where it flips."""
    said = tuple(_said(step.findings.get(key)) for step in result.steps)
    return said, tuple((each.below.value, each.above.value) for each in _flips(result, key))


def _said(finding: Finding | None) -> object:
    if finding is None:
        return None
    verdict = finding.verdict
    return (finding.outcome, verdict.value, verdict.limit, verdict.unit, finding.citation)
