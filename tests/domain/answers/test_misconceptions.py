"""How a choice and its failing findings give a misconception away; each sign narrows by itself."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.answers.toy import TOY_RULES
from trainer.domain.answers.misconceptions import Misconception, Sign, recognised
from trainer.domain.findings import Finding, Verdict
from trainer.domain.vocabulary import Outcome

SHOCK, SUM = TOY_RULES[0], TOY_RULES[1]


def finding(case: str = "too_low", outcome: Outcome = Outcome.DOES_NOT_COMPLY, rule: Any = SHOCK) -> Finding:
    return Finding(rule, "devices.a", Verdict(outcome=outcome, case=case))


def told(name: str, **narrowed: Any) -> Misconception:
    sign = Sign(**{"rule": "TOY-1", **narrowed})
    return Misconception(id=name, statement="", why_wrong="", rule=sign.rule, signs=(sign,))


@pytest.mark.parametrize(
    ("narrowed", "shows"),
    [
        ({}, True),
        ({"rule": "TOY-0"}, False),
        ({"rule": "TOY-2"}, False),
        ({"cases": ("too_low", "none")}, True),
        ({"cases": ("none",)}, False),
        ({"decision": "rcd_type"}, True),
        # Before and after it in the alphabet.
        ({"decision": "curve"}, False),
        ({"decision": "way"}, False),
        ({"options": ("AC", "A")}, True),
        ({"options": ("B",)}, False),
        ({"cases": ("too_low",), "decision": "rcd_type", "options": ("A",)}, True),
        ({"cases": ("none",), "decision": "rcd_type", "options": ("A",)}, False),
        ({"cases": ("too_low",), "decision": "curve", "options": ("A",)}, False),
        ({"cases": ("too_low",), "decision": "rcd_type", "options": ("B",)}, False),
    ],
)
def test_a_sign_shows_where_all_that_it_narrows_by_fits(narrowed: dict[str, Any], *, shows: bool) -> None:
    # The attribute is cut out of a path, so that it is another object than the word of the sign.
    attribute = "devices.a.rcd_type".rpartition(".")[2]
    found = recognised([told("M1", **narrowed)], [finding()], attribute, "A")
    assert found == ("M1" if shows else None)


@pytest.mark.parametrize("outcome", sorted(set(Outcome) - {Outcome.DOES_NOT_COMPLY}))
def test_what_does_not_fail_gives_nothing_away(outcome: Outcome) -> None:
    assert recognised([told("M1")], [finding(outcome=outcome)], "rcd_type", "A") is None


def test_the_first_of_the_catalogue_that_any_finding_shows_is_told() -> None:
    second = Misconception(
        id="M2", statement="", why_wrong="", rule="TOY-2", signs=(Sign(rule="TOY-3"), Sign(rule="TOY-2"))
    )
    both = [finding(rule=SUM), finding()]
    assert recognised([second, told("M1")], both, "rcd_type", "A") == "M2"
    assert recognised([told("M1"), second], both, "rcd_type", "A") == "M1"
    assert recognised([told("M1", cases=("none",)), second], both, "rcd_type", "A") == "M2"
    assert recognised([second, told("M1")], [], "rcd_type", "A") is None
    assert recognised([], both, "rcd_type", "A") is None
