"""Misconceptions: what people believe, why it is wrong, and how a proposal gives it away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.domain.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A sign of a misconception: a failing finding of a rule, narrowed by case and by option.

    Empty ``cases`` or ``options`` do not narrow. ``decision`` matches the last part of the path
    that the decision sets, such as ``rcd_type``; empty matches every decision.
    """

    rule: str
    cases: tuple[str, ...] = ()
    decision: str = ""
    options: tuple[str, ...] = ()

    def shows(self, finding: Finding, attribute: str, option: str) -> bool:
        """True when this failing finding and this choice give the misconception away."""
        return (
            finding.fails
            and finding.rule.id == self.rule
            and (not self.cases or finding.verdict.case in self.cases)
            and (not self.decision or self.decision == attribute)
            and (not self.options or option in self.options)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Misconception:
    """One misconception with its stable id, in our own words."""

    id: str
    statement: str
    why_wrong: str
    rule: str
    signs: tuple[Sign, ...] = ()


def recognised(
    catalogue: Sequence[Misconception],
    findings: Sequence[Finding],
    attribute: str,
    option: str,
) -> str | None:
    """The first misconception of the catalogue that a choice and its failing findings show."""
    for misconception in catalogue:
        for sign in misconception.signs:
            if any(sign.shows(finding, attribute, option) for finding in findings):
                return misconception.id
    return None
