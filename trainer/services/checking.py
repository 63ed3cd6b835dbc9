"""Judges one installation by every rule of the book and says what was not judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, Outcome


class CheckVerdict(StrEnum):
    """What a check says of the whole; it never says that an installation complies."""

    NO_FAILING_FINDING = "no_failing_finding"
    DOES_NOT_COMPLY = "does_not_comply"
    UNDETERMINED = "undetermined"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """The findings on one installation under one edition.

    ``idle`` are the rules that found nothing to judge, ``other_editions`` those that do not
    hold in this edition.
    """

    installation: Installation
    edition: Edition
    rule_set_version: str
    findings: tuple[Finding, ...]
    idle: tuple[Rule, ...]
    other_editions: tuple[Rule, ...]

    @property
    def verdict(self) -> CheckVerdict:
        """Does not comply when anything fails, else undetermined when anything is."""
        if self.count(Outcome.DOES_NOT_COMPLY):
            return CheckVerdict.DOES_NOT_COMPLY
        if self.count(Outcome.UNDETERMINED):
            return CheckVerdict.UNDETERMINED
        return CheckVerdict.NO_FAILING_FINDING

    @property
    def rules_judged(self) -> int:
        """The number of rules that said anything of any subject."""
        return len({finding.rule.id for finding in self.findings})

    @property
    def not_covered(self) -> tuple[str, ...]:
        """The subjects that no rule judges, then the rules that had nothing to judge here."""
        idle = (f"{rule.id}: nothing here for this rule to judge" for rule in self.idle)
        other = (f"{rule.id}: no rule of {self.edition}" for rule in self.other_editions)
        return (*NOT_COVERED, *idle, *other)

    def count(self, outcome: Outcome) -> int:
        """The number of findings with an outcome."""
        return sum(1 for finding in self.findings if finding.outcome is outcome)


def check(
    house: Installation,
    edition: Edition = DEFAULT_EDITION,
    rules: Sequence[Rule] = ALL_RULES,
) -> Check:
    """All findings of the rules on a validated installation, and which rules had nothing to say."""
    findings = tuple(judge(house, rules, edition))
    spoke = {finding.rule.id for finding in findings}
    held = [rule for rule in rules if edition in rule.editions]
    return Check(
        installation=house,
        edition=edition,
        rule_set_version=rule_set_version(),
        findings=findings,
        idle=tuple(rule for rule in held if rule.id not in spoke),
        other_editions=tuple(rule for rule in rules if edition not in rule.editions),
    )
