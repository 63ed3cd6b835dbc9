"""Stored attempts judged again: whom it changes, why, and what is kept."""

from __future__ import annotations

import tracemalloc
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from itertools import cycle, islice

import pytest
from sqlalchemy import text

from tests.services.workshop import (
    DECISION,
    LENIENT,
    NEW,
    NOON,
    OLD,
    again_over,
    graded,
    keep,
    with_leakage_share,
    workshop,
)
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import TaskKind
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.services.regrading.differences import Turn
from trainer.services.regrading.judging import ByKey, NotJudged, ReasonError, Rejudged, Untouched, judged_again


def test_a_corrected_limit_takes_marks_and_the_rule_that_does_it_is_named(storage: SqlStorage) -> None:
    keep(storage, ["30"])
    (found,) = again_over(storage).run()
    assert isinstance(found, Rejudged)
    assert (found.before.marks, found.after.marks) == (1, 0)
    assert found.under == OLD
    (decision,) = found.differences.decisions
    assert decision.after.id == DECISION
    (reason,) = decision.because
    assert (reason.turn, reason.either.rule, reason.either.subject) == (Turn.CHANGED, "RCD-05", "devices.rccb")
    assert reason.before is not None
    assert reason.after is not None
    # 11.5 mA against 50 % and 30 % of 30 mA: hand calculation, see the workshop.
    assert (reason.before.value, reason.before.limit, reason.before.outcome) == (11.5, 15.0, "complies")
    assert (reason.after.value, reason.after.limit, reason.after.outcome) == (11.5, 9.0, "does_not_comply")
    assert "531.3.2" in reason.either.source


def test_an_answer_that_both_rule_sets_accept_keeps_its_marks_and_tells_only_of_the_limit(storage: SqlStorage) -> None:
    keep(storage, ["100"])
    (found,) = again_over(storage).run()
    assert isinstance(found, Rejudged)
    assert not found.differences.result
    limits = {
        each.either.subject: (each.before.limit, each.after.limit)
        for each in found.differences.findings
        if each.before and each.after
    }
    # 50 % and 30 % of the ratings of the three devices with residual current protection.
    assert limits == {"devices.rccb": (50.0, 30.0), "devices.way5": (15.0, 9.0), "devices.way6": (15.0, 9.0)}


def test_judging_again_by_the_same_rules_finds_nothing_different(storage: SqlStorage) -> None:
    keep(storage, ["30", "100"])
    again = list(again_over(storage, LENIENT).run())
    assert len(again) == 2
    for found in again:
        assert isinstance(found, Rejudged)
        assert found.before == found.after
        assert not found.differences.result
        assert not found.differences.findings


@pytest.mark.parametrize(("rules", "turn", "marks"), [("without", Turn.LOST, (0, 1)), ("with", Turn.GAINED, (1, 0))])
def test_a_rule_that_came_or_went_is_told_as_gained_or_lost(
    storage: SqlStorage, rules: str, turn: Turn, marks: tuple[int, int]
) -> None:
    without = tuple(rule for rule in ALL_RULES if rule.id != "RCD-05")
    first, second = (ALL_RULES, without) if rules == "without" else (without, ALL_RULES)
    keep(storage, ["30"])
    list(again_over(storage, first, "1.between").run("first judged so"))
    (found,) = again_over(storage, second).run()
    assert isinstance(found, Rejudged)
    assert (found.before.marks, found.after.marks) == marks
    assert [(each.turn, each.either.rule) for each in found.differences.decisions[0].because] == [(turn, "RCD-05")]


def test_a_dry_run_writes_nothing(storage: SqlStorage) -> None:
    ids = keep(storage, ["30"])
    before = _attempt(storage, ids[0])
    list(again_over(storage).run())
    assert judged_again(storage, ids) == {}
    assert _attempt(storage, ids[0]) == before


def test_with_a_reason_both_results_are_kept(storage: SqlStorage) -> None:
    ids = keep(storage, ["30"])
    before = _attempt(storage, ids[0])
    list(again_over(storage).run("  the limit was\nentered as 50 %  "))
    (kept,) = judged_again(storage, ids)[ids[0]]
    assert (kept.marks, kept.marks_available, kept.rule_set_version) == (0, 1, NEW)
    assert kept.reason == "the limit was entered as 50 %"
    assert kept.regraded_at > NOON
    assert b"RCD-05" in kept.grade_json
    assert _attempt(storage, ids[0]) == before


def test_what_was_judged_under_this_rule_set_is_counted_and_left_alone(storage: SqlStorage) -> None:
    keep(storage, ["30"], version=NEW)
    assert [type(each) for each in again_over(storage).run("again")] == [Untouched]
    assert judged_again(storage, ["attempt-00001"]) == {}


def test_a_second_run_goes_on_where_the_first_was_broken_off(storage: SqlStorage) -> None:
    keep(storage, ["30", "100", "30"])
    first = again_over(storage).run("broken off")
    next(first)
    first.close()
    assert [type(each) for each in again_over(storage).run("to the end")] == [Untouched, Rejudged, Rejudged]
    (only,) = judged_again(storage, ["attempt-00001"])["attempt-00001"]
    assert only.reason == "broken off"


def test_what_counted_last_is_what_the_next_rule_set_is_compared_with(storage: SqlStorage) -> None:
    keep(storage, ["30"])
    list(again_over(storage).run("corrected"))
    nxt = "1.000000000nxt"
    (found,) = again_over(storage, LENIENT, nxt, NOON + timedelta(days=4)).run("corrected back")
    assert isinstance(found, Rejudged)
    assert (found.under, found.before.marks, found.after.marks) == (NEW, 0, 1)
    assert len(judged_again(storage, ["attempt-00001"])["attempt-00001"]) == 2
    (found,) = again_over(storage, ALL_RULES, "1.000000000lst").run()
    assert isinstance(found, Rejudged)
    assert (found.under, found.before.marks, found.after.marks) == (nxt, 1, 0)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE task SET content = 'rubbish'", "damaged"),
        ("UPDATE attempt SET grade_json = 'rubbish' WHERE id = 'attempt-00001'", "damaged"),
        ("UPDATE attempt SET answers_json = '{\"no.such\": \"30\"}' WHERE id = 'attempt-00001'", "no.such"),
        ("UPDATE attempt SET answers_json = '{' WHERE id = 'attempt-00001'", "not JSON"),
        ("UPDATE attempt SET answers_json = '{\"rccb.rating\": 30}' WHERE id = 'attempt-00001'", "id of an option"),
        ("UPDATE attempt SET answers_json = '[]' WHERE id = 'attempt-00001'", "answers"),
    ],
)
def test_an_attempt_that_cannot_be_read_is_named_and_the_others_go_on(
    storage: SqlStorage, database: Database, statement: str, said: str
) -> None:
    keep(storage, ["30", "100"])
    with database.writing() as session:
        session.execute(text(statement))
    outcomes = list(again_over(storage).run())
    assert isinstance(outcomes[0], NotJudged)
    assert outcomes[0].place.attempt_id == "attempt-00001"
    assert said in " ".join(map(str, outcomes[0].problems))
    if "task" not in statement:
        assert isinstance(outcomes[1], Rejudged)


def test_a_grade_that_lacks_a_part_is_told_with_the_part(storage: SqlStorage) -> None:
    keep(storage, ["30"], grade_json=b'{"marks": 1, "marks_available": "one"}')
    (found,) = again_over(storage).run()
    assert isinstance(found, NotJudged)
    assert "grade.findings" in str(found.problems[0])
    assert "the grade that was given" in str(found.problems[0])


def test_answers_to_questions_are_left_to_the_key_that_came_with_them(storage: SqlStorage) -> None:
    keep(storage, ["30"], task=replace(workshop(), kind=TaskKind.MEASURE))
    assert [type(each) for each in again_over(storage).run("again")] == [ByKey]
    assert judged_again(storage, ["attempt-00001"]) == {}


@pytest.mark.parametrize("reason", ["", "   ", "x" * 501])
def test_a_reason_that_says_nothing_or_too_much_is_refused_before_anything_is_judged(
    storage: SqlStorage, reason: str
) -> None:
    keep(storage, ["30"])
    with pytest.raises(ReasonError, match="reason"):
        next(again_over(storage).run(reason))


def test_thousands_of_attempts_are_gone_through_in_little_memory(storage: SqlStorage) -> None:
    number = 3000
    keep(storage, islice(cycle(["30", "100"]), number), version=NEW)
    all_grades = number * len(graded("30", LENIENT)[0])
    use_case = again_over(storage)
    assert use_case.count() == number
    tracemalloc.start()
    counted = Counter(type(each) for each in use_case.run())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert counted == {Untouched: number}
    assert peak < all_grades / 20


@pytest.mark.parametrize("number", [40, pytest.param(2000, marks=pytest.mark.slow)])
def test_each_of_many_attempts_is_judged_again_and_kept_once(storage: SqlStorage, number: int) -> None:
    ids = keep(storage, islice(cycle(["30", "100"]), number))
    counted = Counter(
        (each.before.marks, each.after.marks) for each in again_over(storage).run("all") if isinstance(each, Rejudged)
    )
    assert counted == {(1, 0): number / 2, (1, 1): number / 2}
    again = judged_again(storage, ids)
    assert sorted(again) == ids
    assert {len(each) for each in again.values()} == {1}


def test_a_task_that_no_answer_fits_any_more_is_named_and_the_others_go_on(storage: SqlStorage) -> None:
    """With a share of nothing, neither rating may carry any leakage."""
    keep(storage, ["30"])
    (found,) = again_over(storage, with_leakage_share(0.0)).run()
    assert isinstance(found, NotJudged)
    assert "look at the task itself" in str(found.problems[0])


def _attempt(storage: SqlStorage, attempt_id: str):
    with storage.reading() as stored:
        found = stored.attempts.get(attempt_id)
    assert found is not None
    return replace(found)
