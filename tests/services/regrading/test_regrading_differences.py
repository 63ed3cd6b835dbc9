"""What differs between two grades, and which findings are named as the reason."""

from __future__ import annotations

from dataclasses import replace

from trainer.services.regrading.differences import SaidDecision, SaidFinding, SaidGrade, Turn, differences


def finding(rule: str, outcome: str, limit: float = 9.0) -> SaidFinding:
    return SaidFinding(
        rule=rule, subject="devices.a", outcome=outcome, value=5.0, limit=limit, unit="mA", source="BS 7671:2018, 1.1"
    )


def decision(name: str, marks: int, *rules: str) -> SaidDecision:
    read = frozenset((rule, "devices.a") for rule in rules)
    return SaidDecision(id=name, chosen="x", marks=marks, marks_available=4, findings=read)


def grade(decisions: tuple[SaidDecision, ...], *findings: SaidFinding) -> SaidGrade:
    return SaidGrade(
        marks=sum(each.marks for each in decisions),
        marks_available=4 * len(decisions),
        safe_to_energise=True,
        decisions=decisions,
        findings={each.key: each for each in findings},
    )


BEFORE = grade((decision("one", 4, "R-1", "R-2"),), finding("R-1", "complies"), finding("R-2", "complies"))


def test_equal_grades_differ_in_nothing() -> None:
    found = differences(BEFORE, BEFORE)
    assert not found.result
    assert found.findings == ()


def test_of_the_findings_that_a_decision_reads_those_that_decide_are_named() -> None:
    after = grade(
        (decision("one", 0, "R-1", "R-2"),), finding("R-1", "complies", 8.0), finding("R-2", "does_not_comply")
    )
    found = differences(BEFORE, after)
    assert [each.either.rule for each in found.findings] == ["R-2", "R-1"]
    assert [each.either.rule for each in found.decisions[0].because] == ["R-2"]


def test_where_none_of_its_own_decides_the_one_elsewhere_is_named() -> None:
    """The marks hang on the nearest acceptable proposal, which a rule about another choice can move."""
    before = grade((decision("one", 4, "R-1"), decision("two", 4, "R-2")), finding("R-1", "complies"))
    after = grade(
        (decision("one", 0, "R-1"), decision("two", 4, "R-2")),
        finding("R-1", "complies", 8.0),
        finding("R-2", "does_not_comply"),
    )
    (changed,) = differences(before, after).decisions
    assert [(each.turn, each.either.rule) for each in changed.because] == [(Turn.GAINED, "R-2")]


def test_where_nothing_decides_what_the_decision_reads_is_named() -> None:
    after = grade((decision("one", 0, "R-1"),), finding("R-1", "complies", 8.0), finding("R-2", "complies", 8.0))
    before = replace(BEFORE, decisions=(decision("one", 4, "R-1"),))
    (changed,) = differences(before, after).decisions
    assert [each.either.rule for each in changed.because] == ["R-1"]


def test_other_marks_to_be_had_are_another_result() -> None:
    heavier = replace(BEFORE.decisions[0], marks_available=5)
    found = differences(BEFORE, replace(BEFORE, marks_available=5, decisions=(heavier,)))
    assert found.result
    assert found.marks


def test_a_warning_alone_is_another_result() -> None:
    found = differences(BEFORE, replace(BEFORE, safe_to_energise=False))
    assert found.warning
    assert not found.marks
    assert found.result


def test_a_decision_that_only_one_grade_has_is_not_compared() -> None:
    after = grade((decision("other", 0),), *BEFORE.findings.values())
    assert differences(BEFORE, after).decisions == ()
