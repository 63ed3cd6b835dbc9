"""The proof notices what it is there to notice: each test breaks a good task in one way."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from trainer.domain.findings import undetermined
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Task, TaskKind
from trainer.services.proving import seeds as proving
from trainer.services.proving.likeness import repeated
from trainer.services.proving.seeds import Failure, Proof, check, fingerprint, prove, request_of
from trainer.services.proving.state import ProofState, ProofStateError
from trainer.services.scenarios import make_judged, make_task

ABOUT = {"seeds": "0:10", "generator_version": "2"}


def task(seed: int = 8, level: int = 4, kind: TaskKind = TaskKind.CHOOSE) -> Task:
    return make_task(TaskRequest(seed=seed, level=level, kind=kind))


def test_a_sample_of_all_kinds_and_levels_has_no_failure():
    proof = prove(range(7_000, 7_400))
    assert (proof.scenarios, proof.failures, list(repeated(proof.prints))) == (400, [], [])


def test_seeds_in_turn_meet_every_kind_at_every_level():
    met = {(request.kind, request.level) for request in map(request_of, range(20))}
    assert len(met) == 4 * 5


def test_a_key_that_a_rule_contradicts_is_told():
    one = task()
    trap = one.key.traps[0]
    wrong = replace(one, key=replace(one.key, intended={**one.key.intended, trap.decision: trap.option}))
    assert any(trap.rule in problem for problem in check(wrong))


def test_what_the_generator_noted_is_not_taken_for_another_house():
    one, trial = make_judged(TaskRequest(seed=8, level=4))
    assert trial is not None
    assert list(check(one, trial)) == list(check(one)) == []
    trap = one.key.traps[0]
    wrong = replace(one, key=replace(one.key, intended={**one.key.intended, trap.decision: trap.option}))
    assert any(trap.rule in problem for problem in check(wrong, trial))


def test_what_the_generator_noted_is_used_for_the_very_same_house():
    one, trial = make_judged(TaskRequest(seed=8, level=4))
    assert trial is not None
    found = next(number for number, case in enumerate(trial.cases) if case.verdict is not None)
    trial.cases[found] = trial.cases[found]._replace(verdict=undetermined("somewhere"))
    assert any("undetermined" in problem for problem in check(one, trial))


def test_one_house_in_ten_is_judged_anew_in_every_kind_and_level():
    anew = [request_of(seed) for seed in range(2_000) if proving._is_judged_anew(seed)]
    assert len(anew) == 200
    assert len({(each.kind, each.level) for each in anew}) == 4 * 5


def test_a_trap_that_does_not_bite_is_told():
    one = task()
    trap = one.key.traps[0]
    harmless = replace(trap, option=one.key.intended[trap.decision])
    assert any("does not fail" in each for each in check(replace(one, key=replace(one.key, traps=(harmless,)))))


def test_a_wrong_answer_that_counts_as_right_is_told():
    one = task(kind=TaskKind.INSPECT)
    ask = next(each for each in one.asks if one.key.asks[each.id].wrongs)
    key = one.key.asks[ask.id]
    bad = replace(key, wrongs=(replace(key.wrongs[0], answer=key.model),))
    found = list(check(replace(one, key=replace(one.key, asks={**one.key.asks, ask.id: bad}))))
    assert any("counts as right" in each for each in found)


def test_an_ask_without_a_key_is_told():
    one = task(kind=TaskKind.MEASURE)
    assert any("has no key" in each for each in check(replace(one, key=replace(one.key, asks={}))))


def test_an_exception_is_a_failure_and_stops_nothing(monkeypatch):
    def broken(request: TaskRequest) -> tuple[Task, None]:
        raise ZeroDivisionError("here")

    monkeypatch.setattr(proving, "make_judged", broken)
    proof = prove(range(3))
    assert [each.problem for each in proof.failures] == ["ZeroDivisionError: here"] * 3


def test_two_tasks_of_a_seed_have_one_fingerprint_and_two_seeds_two():
    assert fingerprint(task(4)) == fingerprint(task(4)) != fingerprint(task(5))


def test_a_house_that_comes_twice_is_told():
    assert list(repeated({"choose/1/flat": b"12345678" * 2})) == ["choose/1/flat: 1 of 2 tasks are like another"]


def test_questions_may_repeat_evenly_but_none_far_more_than_the_others():
    even = b"".join(bytes([n % 5]) * 8 for n in range(500))
    assert list(repeated({"question/1/family": even})) == []
    assert "came 420 times" in next(repeated({"question/1/family": bytes(8) * 400 + even[:800]}))


def test_a_family_may_ask_one_question_in_eight_by_design_but_not_one_in_four():
    # By hand, m = 1000 / 41 = 24.4: min(6 x 24.4, 1000 / 6) + 6 sqrt(24.4) + 6 = 146 + 30 + 6 = 182.
    others = b"".join(bytes([1 + n % 40]) * 8 for n in range(875))
    assert list(repeated({"question/1/family": bytes(8) * 125 + others})) == []
    assert "came 250 times" in next(repeated({"question/1/family": bytes(8) * 250 + others[: 750 * 8]}))


def test_a_stopped_proof_goes_on_and_does_a_line_that_was_cut_off_again(tmp_path):
    state = ProofState(tmp_path / "state.jsonl", ABOUT)
    assert state.start() == {}
    failure = Failure(seed=3, kind="choose", level=1, problem="p")
    state.add(0, Proof(scenarios=5, failures=[failure], prints={"f": bytearray(b"12345678")}))
    with state.path.open("a") as file:
        file.write('{"first": 5, "scen')
    again = ProofState(state.path, ABOUT).start()
    assert list(again) == [0]
    assert (again[0].scenarios, again[0].failures, again[0].prints) == (5, [failure], {"f": bytearray(b"12345678")})


def test_the_state_of_another_version_is_refused_with_what_to_do(tmp_path):
    ProofState(tmp_path / "s", ABOUT).start()
    with pytest.raises(ProofStateError, match="--state"):
        ProofState(tmp_path / "s", {**ABOUT, "generator_version": "3"}).start()


def test_the_first_line_of_a_state_says_of_which_proof_it_is(tmp_path):
    ProofState(tmp_path / "s", ABOUT).start()
    assert json.loads((tmp_path / "s").read_text("utf-8").splitlines()[0])["seeds"] == "0:10"
