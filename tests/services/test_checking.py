from __future__ import annotations

import dataclasses

import pytest

from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Over, Rule
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, Outcome
from trainer.interop.installations import read_installation
from trainer.resources import folder
from trainer.services.checking import CheckVerdict, check

EXAMPLE = folder("scenarios") / "examples" / "charger-outdoors-on-pme.toml"


@pytest.fixture(scope="module")
def house() -> Installation:
    return read_installation(EXAMPLE.read_bytes()).installation


def saying(rule_id: str, *outcomes: Outcome, editions: frozenset[Edition] = frozenset(Edition)) -> Rule:
    """A rule on the whole installation that says one outcome, or nothing."""

    def judge(_subject: object, _house: Installation, _limits: object) -> Verdict | None:
        return Verdict(outcome=outcomes[0]) if outcomes else None

    return dataclasses.replace(ALL_RULES[0], id=rule_id, judge=judge, over=Over.INSTALLATION, editions=editions)


FAILS = saying("X-01", Outcome.DOES_NOT_COMPLY)
OPEN = saying("X-02", Outcome.UNDETERMINED)
ADVISES = saying("X-03", Outcome.ADVICE)
PASSES = saying("X-04", Outcome.COMPLIES)
SILENT = saying("X-05")
EARLY = saying("X-06", Outcome.DOES_NOT_COMPLY, editions=frozenset({Edition.A2_2022}))


@pytest.mark.parametrize(
    ("rules", "verdict"),
    [
        ([FAILS, OPEN, PASSES], CheckVerdict.DOES_NOT_COMPLY),
        ([OPEN, ADVISES, PASSES], CheckVerdict.UNDETERMINED),
        ([ADVISES, PASSES], CheckVerdict.NO_FAILING_FINDING),
        ([], CheckVerdict.NO_FAILING_FINDING),
    ],
)
def test_the_gravest_outcome_is_the_verdict(house, rules, verdict):
    assert check(house, rules=rules).verdict is verdict


def test_a_rule_that_says_nothing_is_not_judged_and_named_as_idle(house):
    result = check(house, rules=[PASSES, SILENT])
    assert (result.rules_judged, result.idle) == (1, (SILENT,))
    assert result.not_covered == (*NOT_COVERED, "X-05: nothing here for this rule to judge")


def test_a_rule_of_another_edition_is_not_judged_and_named(house):
    result = check(house, rules=[PASSES, EARLY])
    assert (result.verdict, result.rules_judged) == (CheckVerdict.NO_FAILING_FINDING, 1)
    assert result.not_covered[-1] == f"X-06: no rule of {DEFAULT_EDITION}"
    assert check(house, Edition.A2_2022, [PASSES, EARLY]).verdict is CheckVerdict.DOES_NOT_COMPLY


def test_a_rule_that_speaks_of_many_subjects_is_one_rule(house):
    result = check(house)
    assert result.rules_judged == len({finding.rule.id for finding in result.findings}) < len(result.findings)


def test_every_rule_of_the_book_is_judged_idle_or_of_another_edition(house):
    result = check(house)
    assert result.rules_judged + len(result.idle) + len(result.other_editions) == len(ALL_RULES)
