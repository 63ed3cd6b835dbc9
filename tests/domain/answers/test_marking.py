"""Marking by the least change, on the toy house."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.answers.toy import TOY_RULES, toy_decisions, toy_house, toy_rule
from trainer.domain.answers.decisions import Edit, ProposalError
from trainer.domain.answers.marking import Grade, grade
from trainer.domain.answers.misconceptions import Misconception, Sign
from trainer.domain.devices import Device
from trainer.domain.findings import Term, Verdict, holds
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over
from trainer.domain.tasks import Key, Task, TaskKind, Trap
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence

RIGHT = {"place-b": "own", "type-a": "A", "type-up": "A", "curve-b": "C"}

TASK = Task(
    seed=1,
    generator_version="toy",
    rule_set_version="toy",
    edition=DEFAULT_EDITION,
    kind=TaskKind.CHOOSE,
    level=1,
    archetype="toy",
    title="Toy",
    story="",
    house=toy_house(),
    pack=(),
    decisions=toy_decisions(),
    key=Key(
        intended=RIGHT,
        traps=(Trap(id="t1", misconception="M90", decision="type-a", option="B", rule="TOY-1"),),
    ),
)


def _with_terms(subject: Device, house: Installation, limits: Limits) -> Verdict | None:
    return holds(True, terms=lambda: (Term("type", subject.rcd_type.rank if subject.rcd_type else -1, ""),))


def graded(**answers: str) -> Grade:
    changed = {key.replace("_", "-"): value for key, value in answers.items()}
    return grade(TASK, {**RIGHT, **changed}, TOY_RULES)


def marks(result: Grade) -> dict[str, int]:
    return {each.id: each.marks for each in result.decisions}


def test_a_compliant_proposal_earns_all_marks_and_needs_no_change() -> None:
    result = graded()
    assert result.marks == result.marks_available == 4 + 4 + 4 + 1
    assert result.least_change == ()
    assert result.safe_to_energise


def test_only_the_decisions_in_the_least_change_lose_their_marks() -> None:
    # A below AC: raise the upper or lower the lower; either is one change and costs four marks.
    result = graded(type_up="AC")
    assert len(result.least_change) == 1
    assert result.marks == result.marks_available - 4
    assert not result.safe_to_energise


def test_a_failing_finding_is_shown_at_every_decision_on_which_it_depends() -> None:
    result = graded(type_up="AC")
    failing = {n for n, finding in enumerate(result.findings) if finding.fails}
    shown = {each.id for each in result.decisions if failing & set(each.findings)}
    assert shown == {"type-a", "type-up"}


def test_of_two_equally_small_changes_the_cheaper_in_marks_is_taken() -> None:
    # Ten milliamperes on the shared device: moving b away needs curve C as well, which it has.
    result = graded(place_b="shared")
    assert [change.decision for change in result.least_change] == ["place-b"]
    assert result.safe_to_energise


def test_a_nuisance_alone_does_not_make_it_unsafe() -> None:
    result = graded(curve_b="B")
    assert result.safe_to_energise
    assert marks(result)["curve-b"] == 0


def test_a_planted_trap_names_its_misconception() -> None:
    result = graded(type_a="B")
    wrong = [each for each in result.decisions if not each.is_right]
    assert [(each.id, each.misconception) for each in wrong] == [("type-a", "M90")]


def test_a_planted_trap_speaks_for_its_own_option_and_its_own_decision_only() -> None:
    # B is an option of both decisions, and wrong at both.
    for planted, chosen in (("curve-b", "type-a"), ("type-a", "curve-b")):
        trap = replace(TASK.key.traps[0], decision=planted)
        task = replace(TASK, key=replace(TASK.key, traps=(trap,)))
        result = grade(task, {**RIGHT, chosen: "B"}, TOY_RULES)
        assert [(each.id, each.misconception) for each in result.decisions if not each.is_right] == [(chosen, None)]
    # F below A is wrong as well; in the alphabet it stands after B, and AC or A before.
    for planted in ("B", "AC"):
        trap = replace(TASK.key.traps[0], option=planted)
        task = replace(TASK, key=replace(TASK.key, traps=(trap,)))
        result = grade(task, {**RIGHT, "type-a": "F"}, TOY_RULES)
        assert {each.misconception for each in result.decisions} == {None}
    trap = replace(TASK.key.traps[0], option="F")
    task = replace(TASK, key=replace(TASK.key, traps=(trap,)))
    assert {each.misconception for each in grade(task, {**RIGHT, "type-a": "B"}, TOY_RULES).decisions} == {None}


def test_each_decision_says_which_options_fit_the_nearest_proposal() -> None:
    # A type-A device above: AC and A below comply, F and B do not (each type covers those before it).
    fitting = {each.id: each.acceptable for each in graded(type_a="B").decisions}
    assert fitting["type-a"] == ("AC", "A")
    # The nearest takes AC below, the cheaper of the two; above it any type will do.
    assert fitting["type-up"] == ("AC", "A", "F", "B")
    # The way of its own asks for curve C.
    assert fitting["curve-b"] == ("C",)


def test_a_decision_that_no_rule_reads_is_worth_one_mark() -> None:
    result = grade(TASK, RIGHT, TOY_RULES[:1])
    assert {each.id: each.marks_available for each in result.decisions}["curve-b"] == 1


def test_a_misconception_is_recognised_by_rule_and_option() -> None:
    catalogue = (
        Misconception(
            id="M91",
            statement="",
            why_wrong="",
            rule="TOY-3",
            signs=(Sign(rule="TOY-3", decision="curve", options=("B",)),),
        ),
    )
    result = grade(TASK, {**RIGHT, "curve-b": "B"}, TOY_RULES, catalogue=catalogue)
    assert {each.misconception for each in result.decisions if not each.is_right} == {"M91"}


def test_a_decision_that_sets_two_attributes_is_known_by_its_first() -> None:
    curve = TASK.decisions[3]
    rating = {"B": 16, "C": 32}
    both = tuple(
        replace(each, edits=(*each.edits, Edit(path="devices.b.rated_current_a", value=rating[each.id])))
        for each in curve.options
    )
    task = replace(TASK, decisions=(*TASK.decisions[:3], replace(curve, options=both)))
    catalogue = tuple(
        Misconception(
            id=name, statement="", why_wrong="", rule="TOY-3", signs=(Sign(rule="TOY-3", decision=attribute),)
        )
        for name, attribute in (("M92", "rated_current_a"), ("M93", "curve"))
    )
    result = grade(task, {**RIGHT, "curve-b": "B"}, TOY_RULES, catalogue=catalogue)
    assert {each.misconception for each in result.decisions if not each.is_right} == {"M93"}


def test_answers_count_by_what_they_say_not_by_which_object_holds_it() -> None:
    # A form hands over words of its own; Python shares words that stand in a program, and hides the difference.
    def typed(word: str) -> str:
        return "".join(list(word))

    result = grade(TASK, {each: typed(option) for each, option in RIGHT.items()}, TOY_RULES)
    assert result.marks == result.marks_available
    assert result.least_change == ()
    trap = replace(TASK.key.traps[0], decision="place-b", option=typed("shared"))
    task = replace(TASK, key=replace(TASK.key, traps=(trap,)))
    wrong = grade(task, {**RIGHT, "place-b": typed("shared")}, TOY_RULES)
    assert [each.misconception for each in wrong.decisions if not each.is_right] == ["M90"]


def test_a_compliant_proposal_says_how_much_dearer_than_needed_it_is() -> None:
    cheapest = {**RIGHT, "type-a": "AC", "type-up": "AC", "place-b": "own"}
    assert grade(TASK, cheapest, TOY_RULES).dearer_by == 0
    assert graded(type_up="B").dearer_by == 1 + 3
    # Cost is the place in the list: RIGHT costs 1 for each of four, the cheapest 1 for the place and 1 for the curve.
    assert graded().dearer_by == 4 - 2


def test_everything_wrong_with_a_proposal_is_said_at_once() -> None:
    with pytest.raises(ProposalError) as caught:
        grade(TASK, {"type-a": "Z", "typo": "A"}, TOY_RULES)
    paths = [problem.path for problem in caught.value.problems]
    assert paths == [
        "answers.typo",
        "answers.place-b",
        "answers.type-a",
        "answers.type-up",
        "answers.curve-b",
    ]


@pytest.mark.parametrize("value", [4, -1, "2", 1.0, True, None])
def test_a_certainty_outside_its_range_is_refused(value: object) -> None:
    with pytest.raises(ProposalError, match="how sure"):
        grade(TASK, RIGHT, TOY_RULES, certainty={"type-a": value})


@pytest.mark.parametrize("value", [0, 1, 2, 3])
def test_certainty_is_kept_with_its_decision(value: int) -> None:
    result = grade(TASK, RIGHT, TOY_RULES, certainty={"type-a": value})
    assert {each.id: each.certainty for each in result.decisions}["type-a"] == value


def test_terms_can_be_spelt_out_after_marking() -> None:
    spelt = toy_rule("TOY-4", Over.DEVICES, Consequence.DESIGN, _with_terms)
    result = grade(TASK, RIGHT, (*TOY_RULES, spelt))
    told = {finding.subject: finding.terms for finding in result.findings if finding.rule.id == "TOY-4"}
    assert told["devices.a"] == (Term("type", 1, ""),)
