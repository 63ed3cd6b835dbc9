"""Boards to inspect: every code follows from the rule book or from what was observed, and nothing else fails."""

from __future__ import annotations

import copy
import tomllib
from collections import Counter

import pytest

from tests.domain import houses
from trainer.domain.answers.decisions import apply
from trainer.domain.asks.marking import grade_asks
from trainer.domain.findings import Finding
from trainer.domain.generator.request import TaskRequest
from trainer.domain.inspections.codes import Code, also_accepted, code_of, most_pressing
from trainer.domain.inspections.making import FIRST
from trainer.domain.inspections.words import InspectionDataError, read_words
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.supply import Earthing
from trainer.domain.tasks import Task, TaskKind
from trainer.domain.vocabulary import EarthingSystem, Outcome, Stated
from trainer.resources import folder
from trainer.services.scenarios import inspection_words, make_task

SEEDS = range(500, 515)
LEVELS = (1, 2, 3, 4)


def inspection(seed: int, level: int) -> Task:
    return make_task(TaskRequest(seed=seed, level=level, kind=TaskKind.INSPECT))


@pytest.fixture(scope="module")
def sample() -> list[Task]:
    return [inspection(seed, level) for seed in SEEDS for level in LEVELS]


def test_a_stated_requirement_against_shock_that_is_not_met_is_c2_and_inference_alone_is_never():
    # The codes are those of the model report; which one a fault earns is common practice.
    house = houses.house(
        houses.rccb("upper", "A", fed_by="main_switch"),
        houses.rcbo("way1", "B", fed_by="upper"),
        houses.circuit("charging", "way1"),
        houses.charger("car", "charging"),
    )
    codes = {(each.rule.id, each.citation.is_stated_requirement): code_of(each) for each in judge(house, ALL_RULES)}
    assert Code.C2 in codes.values()
    assert all(stated for (_, stated), code in codes.items() if code is Code.C2)
    assert Code.C1 not in codes.values()


def test_what_cannot_be_determined_is_looked_into_and_the_most_pressing_code_decides():
    assert most_pressing([Code.C3, Code.FI]) is Code.FI
    assert most_pressing([Code.FI, Code.C2, Code.C3]) is Code.C2
    assert most_pressing([Code.C2, Code.C1]) is Code.C1
    assert most_pressing([]) is Code.NOTHING


def test_a_coded_choice_rests_on_rules_that_do_not_comply_in_the_house_as_found(sample):
    for task in sample:
        failing = {each.rule.id for each in judge(task.house, ALL_RULES, task.edition) if each.outcome in _NOT_FINE}
        for ask in task.asks:
            key = task.key.asks[ask.id]
            assert set(key.rules) <= failing, (task.seed, task.level, ask.id)
            if ask.id != FIRST and not ask.id.startswith("seen."):
                assert bool(key.rules) == (key.model != Code.NOTHING)


_NOT_FINE = (Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED)


def test_every_rule_that_fails_is_behind_some_code(sample):
    for task in sample:
        failing = {each.rule.id for each in judge(task.house, ALL_RULES, task.edition) if each.fails}
        behind = {rule for key in task.key.asks.values() for rule in key.rules}
        assert failing <= behind, (task.seed, task.level, failing - behind)


def test_putting_right_what_was_coded_gives_the_house_that_complies(sample):
    # The second route: the same seed's house with every choice as it was intended.
    for task in sample[:: len(LEVELS) + 1]:
        base = make_task(TaskRequest(seed=task.seed, level=task.level))
        intended = apply(base.house, base.decisions, base.key.intended)
        assert not any(each.fails for each in judge(intended, ALL_RULES, base.edition))
        found = {ask.id: ask.question.partition(": ")[2] for ask in task.asks}
        for decision in (each for each in base.decisions if each.id in found):
            label = decision.option(base.key.intended[decision.id]).label
            coded = task.key.asks[decision.id].model != Code.NOTHING
            assert (found[decision.id] != label) == coded


def test_the_key_earns_all_marks_and_recording_nothing_leaves_a_danger(sample):
    for task in sample:
        right = {name: key.model for name, key in task.key.asks.items()}
        assert grade_asks(task, right).marks == grade_asks(task, right).marks_available
        coded = [key for key in task.key.asks.values() if key.model in ("C1", "C2")]
        nothing = grade_asks(task, {FIRST: "none"})
        assert nothing.safe_to_energise == (not coded)


def test_every_code_is_met(sample):
    met = {key.model for task in sample for key in task.key.asks.values()}
    assert {"none", "C1", "C2", "C3", "FI"} <= met


def test_what_is_done_first_follows_from_the_most_pressing_code(sample):
    actions = {"C1": "make_safe", "C2": "urgent", "FI": "investigate", "C3": "recommend", "none": "none"}
    for task in sample:
        codes = [Code(key.model) for name, key in task.key.asks.items() if name != FIRST]
        assert task.key.asks[FIRST].model == actions[most_pressing(codes)]


def test_the_same_seed_gives_the_same_inspection():
    assert inspection(77, 4) == inspection(77, 4)


def test_a_present_danger_comes_only_from_what_was_seen(sample):
    for task in sample:
        for name, key in task.key.asks.items():
            assert key.model != "C1" or name.startswith("seen.")


def test_nothing_in_the_sheet_of_what_was_found_tells_a_code(sample):
    for task in sample:
        sheet = task.pack[0]
        text = " ".join(f"{row.label} {row.value}" for row in sheet.rows)
        assert not any(code in text.split() for code in ("C1", "C2", "C3", "FI"))
        assert len(sheet.rows) == len(task.asks) - 1


def test_every_observation_can_be_met_and_its_why_is_not_empty():
    words = inspection_words()
    assert len({each.id for each in words.observations}) == len(words.observations) >= 24
    assert {each.code for each in words.observations} == set(Code)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"title": 3}, "inspections.toml: title"),
        ({"codes": {"C1": "x"}}, "inspections.toml: codes.FI"),
        ({"stories": []}, "inspections.toml: stories"),
        ({"format_version": 9}, "inspections.toml: format"),
        ({"observation": [{"id": "x", "place": "rooof"}]}, "inspections.toml: observation[0].place"),
    ],
)
def test_a_broken_file_is_refused_with_place_and_reason(change, path):
    data = tomllib.loads((folder("scenarios") / "inspections.toml").read_text("utf-8"))
    broken = copy.deepcopy(data) | change
    with pytest.raises(InspectionDataError) as caught:
        read_words(broken)
    assert path in [each.path for each in caught.value.problems]


def failing(rule_id: str, **facts: object) -> list[Finding]:
    found = [
        each
        for each in judge(houses.house(*LOADED, system=EarthingSystem.TN_S, **facts), ALL_RULES)
        if each.rule.id == rule_id
    ]
    return [each for each in found if each.is_hazard]


LOADED = (houses.rcbo("way1", "A"), houses.circuit("sockets", "way1"))


@pytest.mark.parametrize(("size_mm2", "also"), [(4.0, ()), (6.0, (Code.C3,))])
def test_bonding_smaller_than_asked_may_be_c3_from_6_mm2_up_and_is_c2_below(size_mm2, also):
    # Common practice among inspectors, from memory: 6 mm2 without damage by heat is coded C3 by many.
    facts = Earthing(main_bonding_mm2=size_mm2, extraneous_parts=True, earthing_conductor_mm2=16.0)
    found = failing("BON-01", earthing=facts)
    assert found
    assert also_accepted(found) == also


def test_c3_is_accepted_only_where_nothing_else_speaks_for_c2():
    facts = Earthing(main_bonding_mm2=6.0, extraneous_parts=True, earthing_conductor_mm2=16.0)
    bonding = failing("BON-01", earthing=facts)
    assert also_accepted(bonding) == (Code.C3,)
    other = [
        each
        for each in judge(
            houses.house(
                houses.rcbo("way1", "AC"), houses.circuit("charging", "way1"), houses.charger("car", "charging")
            ),
            ALL_RULES,
        )
        if each.rule.id == "EV-08" and each.is_hazard
    ]
    assert other
    assert also_accepted([*bonding, *other]) == ()
    assert also_accepted([]) == ()


def test_bonding_is_only_seen_where_there_is_something_to_bond(sample):
    for task in sample:
        if "seen.bonding_missing_clamp" in task.key.asks:
            assert task.house.earthing.extraneous_parts


def test_a_fault_of_the_detection_is_only_seen_at_a_charging_point_that_detects(sample):
    for task in sample:
        for ask in task.asks:
            if ask.id == "seen.detector_light":
                charger = task.house.equipment[ask.subject.partition(".")[2]].charger
                assert charger is not None
                assert charger.direct_current_detection is Stated.YES


def test_every_first_action_is_the_right_one_in_some_house_and_none_in_most(sample):
    met = Counter(task.key.asks[FIRST].model for task in sample)
    assert set(met) == {"make_safe", "urgent", "investigate", "recommend", "none"}
    assert max(met.values()) <= 0.6 * len(sample)


def test_the_milder_of_two_accepted_codes_may_be_followed_to_its_own_action(sample):
    reached = 0
    for task in sample:
        answers = {name: key.answers[-1] for name, key in task.key.asks.items()}
        codes = [Code(key.answers[-1]) for name, key in task.key.asks.items() if name != FIRST and key.model != "none"]
        actions = {"C1": "make_safe", "C2": "urgent", "FI": "investigate", "C3": "recommend", "none": "none"}
        answers[FIRST] = actions[most_pressing(codes)]
        assert answers[FIRST] in task.key.asks[FIRST].answers
        reached += answers[FIRST] != task.key.asks[FIRST].model
    assert reached


@pytest.mark.parametrize(
    ("right", "given", "belief"),
    [("C3", "C2", "M101"), ("C2", "C1", "M103"), ("FI", "C3", "M102"), ("C2", "FI", "M102")],
)
def test_the_belief_behind_a_wrong_code_is_named(sample, right, given, belief):
    wrongs = [
        wrong
        for task in sample
        for name, key in task.key.asks.items()
        if name != FIRST and key.answers == (right,)
        for wrong in key.wrongs
        if wrong.answer == given
    ]
    assert wrongs
    assert {wrong.misconception for wrong in wrongs} == {belief}


def test_a_work_of_years_ago_is_never_one_years_old(sample):
    assert not any("1 years" in task.story for task in sample)


def test_who_records_nothing_earns_little_where_there_is_something_to_record(sample: list[Task]) -> None:
    # Places that are in order stand beside the faults, and must not outweigh them.
    for task in sample:
        faults = [key for name, key in task.key.asks.items() if name != FIRST and "none" not in key.answers]
        nothing = grade_asks(task, {FIRST: "none"})
        if len(faults) > 1:
            assert nothing.marks <= 0.65 * nothing.marks_available, (task.seed, task.level)
