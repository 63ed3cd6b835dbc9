"""Verdicts and findings: what complies, what they carry, and what counts as a hazard."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace

import pytest

from trainer.domain.citations import Citation, Status
from trainer.domain.findings import Finding, Term, Verdict, at_least, at_most, holds, total, undetermined, within
from trainer.domain.limits.loading import Limit
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import Consequence, Outcome

COMPLIES, FAILS, ADVICE = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE
STATED = Citation(publication="a book", clause="1.2", status=Status.SEEN)
INFERRED = replace(STATED, status=Status.DERIVED)
RULE = next(rule for rule in ALL_RULES if rule.id == "OC-02")
SIX = Limit(value=6.0, unit="mA", citation=STATED)


def test_a_sum_has_no_drift() -> None:
    # 60 x 0.1 added one after the other gives 5.999999999999998
    assert total([0.1] * 60) == 6.0
    assert total([]) == 0.0


def test_a_sum_is_rounded_to_six_places() -> None:
    assert total([1.0000004, 0.0]) == 1.0
    assert total([1.0000006, 0.0]) == 1.000001


@pytest.mark.parametrize(
    ("value", "limit", "inside"),
    [
        (5.9, 6.0, True),
        (6.0, 6.0, True),
        (6.0000004, 6.0, True),
        (6.0, 5.9999996, True),
        (6.000001, 6.0, False),
        (6.1, 6.0, False),
    ],
)
def test_equal_to_six_places_counts_as_equal(value: float, limit: float, inside: bool) -> None:
    assert within(value, limit) is inside


@pytest.mark.parametrize(("value", "most", "least"), [(5.9, COMPLIES, FAILS), (6.0, COMPLIES, COMPLIES)])
def test_a_limit_may_be_met_from_either_side(value: float, most: Outcome, least: Outcome) -> None:
    for limit in (6.0, SIX):
        assert (at_most(value, limit).outcome, at_least(value, limit).outcome) == (most, least)
        assert at_most(6.1, limit).outcome is FAILS
        assert at_least(6.1, limit).outcome is COMPLIES


@pytest.mark.parametrize("compare", [at_most, at_least])
def test_value_limit_and_unit_are_carried(compare: type) -> None:
    of_a_limit, of_a_number = compare(6.0, SIX, unit="ohm"), compare(6.0, 7.0, unit="ohm")
    assert (of_a_limit.value, of_a_limit.limit, of_a_limit.unit) == (6.0, 6.0, "mA")
    assert (of_a_number.value, of_a_number.limit, of_a_number.unit) == (6.0, 7.0, "ohm")


CARRIED = {
    "case": "a_case",
    "related": ("devices.b",),
    "consequence": Consequence.DESIGN,
    "terms": [Term("a", 1.0, "")],
}


def carries(verdict: Verdict) -> bool:
    return all(getattr(verdict, name) == value for name, value in CARRIED.items())


def test_what_a_rule_says_besides_is_carried() -> None:
    made = (at_most(1.0, 2.0, **CARRIED), at_least(2.0, 1.0, **CARRIED), holds(True, **CARRIED))  # type: ignore[arg-type]
    assert [carries(each) for each in made] == [True] * 3
    said = holds(True, value="A", limit="B", unit="poles", citation=INFERRED)
    assert (said.value, said.limit, said.unit, said.citation) == ("A", "B", "poles", INFERRED)


def test_what_does_not_comply_may_be_advice_and_what_complies_never_is() -> None:
    passed = (at_most(1.0, 2.0, otherwise=ADVICE), at_least(2.0, 1.0, otherwise=ADVICE), holds(True, otherwise=ADVICE))
    failed = (at_most(2.0, 1.0, otherwise=ADVICE), at_least(1.0, 2.0, otherwise=ADVICE), holds(False, otherwise=ADVICE))
    assert [each.outcome for each in passed] == [COMPLIES] * 3
    assert [each.outcome for each in failed] == [ADVICE] * 3
    assert holds(False).outcome is FAILS


def test_what_cannot_be_judged_names_what_is_missing() -> None:
    verdict = undetermined("supply.phases", "premises", case="not_stated")
    assert (verdict.outcome, verdict.missing, verdict.case) == (
        Outcome.UNDETERMINED,
        ("supply.phases", "premises"),
        "not_stated",
    )


def test_a_verdict_is_never_changed_and_is_written_with_names() -> None:
    verdict = holds(True)
    with pytest.raises(FrozenInstanceError):
        verdict.case = "other"  # type: ignore[misc]
    with pytest.raises(TypeError):
        Verdict(COMPLIES)  # type: ignore[misc]
    assert not hasattr(verdict, "__dict__")


def test_what_a_verdict_carries_is_written_with_names() -> None:
    for compare in (at_most, at_least):
        with pytest.raises(TypeError):
            compare(1.0, 2.0, "A")  # type: ignore[misc]
    with pytest.raises(TypeError):
        holds(True, 1.0)  # type: ignore[misc]


# --- findings ---------------------------------------------------------------------------------------------


def finding(verdict: Verdict) -> Finding:
    return Finding(RULE, "circuits.c", verdict)


def test_a_finding_takes_from_its_verdict_and_then_from_its_rule() -> None:
    plain = finding(holds(False))
    assert (plain.outcome, plain.fails) == (FAILS, True)
    assert (plain.consequence, plain.citation) == (RULE.consequence, RULE.citation)
    own = finding(holds(False, consequence=Consequence.NUISANCE, citation=INFERRED))
    assert (own.consequence, own.citation) == (Consequence.NUISANCE, INFERRED)


@pytest.mark.parametrize("outcome", [each for each in Outcome if each is not FAILS])
def test_only_what_does_not_comply_fails(outcome: Outcome) -> None:
    other = finding(Verdict(outcome=outcome))
    assert (other.outcome, other.fails, other.is_hazard) == (outcome, False, False)


@pytest.mark.parametrize("consequence", list(Consequence))
def test_only_shock_and_fire_are_hazards(consequence: Consequence) -> None:
    hazard = finding(holds(False, consequence=consequence, citation=STATED)).is_hazard
    assert hazard is (consequence in {Consequence.SHOCK, Consequence.FIRE})


@pytest.mark.parametrize("status", list(Status))
def test_what_no_publication_states_is_no_hazard(status: Status) -> None:
    cited = replace(STATED, status=status)
    hazard = finding(holds(False, consequence=Consequence.SHOCK, citation=cited)).is_hazard
    assert hazard is (status not in {Status.DERIVED, Status.COMMON_PRACTICE})


def test_terms_are_spelt_out_when_somebody_reads_them() -> None:
    asked: list[str] = []

    def terms() -> list[Term]:
        asked.append("now")
        return [Term("a", 1.0, "A")]

    late = finding(holds(True, terms=terms))
    assert asked == []
    assert late.terms == (Term("a", 1.0, "A"),)
    assert asked == ["now"]
    assert finding(holds(True, terms=[Term("b", 2.0, "A")])).terms == (Term("b", 2.0, "A"),)
    assert finding(holds(True)).terms == ()


def test_a_finding_is_never_changed() -> None:
    with pytest.raises(FrozenInstanceError):
        finding(holds(True)).subject = "other"  # type: ignore[misc]
    assert not hasattr(finding(holds(True)), "__dict__")
