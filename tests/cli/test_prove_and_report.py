"""``trainer prove`` and ``trainer report``: last lines, exit codes, going on, and what is refused."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from trainer.cli import prove as prove_module
from trainer.cli.main import main
from trainer.cli.report import _difficulty_lines
from trainer.services.proving.difficulty import spread, words_to_aim_at
from trainer.services.proving.seeds import Failure, Proof


def run(*arguments: str):
    return CliRunner().invoke(main, arguments)


def test_the_proof_ends_with_its_numbers_and_0(tmp_path):
    answer = run("prove", "--seeds", "0:40", "--jobs", "1", "--state", str(tmp_path / "s"))
    assert answer.exit_code == 0, answer.output
    assert answer.stdout.splitlines()[-1] == "40 scenarios, 0 failures"
    assert "median" in answer.stderr


def test_a_proof_called_again_takes_what_is_done_from_its_state(tmp_path, monkeypatch):
    arguments = ("prove", "--seeds", "0:20", "--jobs", "1", "--state", str(tmp_path / "s"))
    assert run(*arguments).exit_code == 0
    monkeypatch.setattr(prove_module, "prove", lambda *_, **__: pytest.fail("made again"))
    assert run(*arguments).stdout.splitlines()[-1] == "20 scenarios, 0 failures"


def test_a_failure_is_named_and_ends_with_1(tmp_path, monkeypatch):
    failure = Failure(seed=7, kind="choose", level=2, problem="it leans")
    monkeypatch.setattr(prove_module, "prove", lambda seeds, **_: Proof(scenarios=len(seeds), failures=[failure]))
    answer = run("prove", "--seeds", "0:20", "--jobs", "1", "--state", str(tmp_path / "s"))
    assert answer.exit_code == 1
    assert answer.stdout.splitlines() == ["seed 7, choose, level 2: it leans", "20 scenarios, 1 failures"]


def test_the_proof_of_other_seeds_is_not_mixed_into_a_state(tmp_path):
    run("prove", "--seeds", "0:4", "--jobs", "1", "--state", str(tmp_path / "s"))
    answer = run("prove", "--seeds", "0:8", "--jobs", "1", "--state", str(tmp_path / "s"))
    assert answer.exit_code == 2
    assert "state of another proof" in answer.stderr


def test_several_processes_prove_as_one(tmp_path):
    answer = run("prove", "--seeds", "0:220", "--kind", "question", "--jobs", "2", "--state", str(tmp_path / "s"))
    assert answer.stdout.splitlines()[-1] == "220 scenarios, 0 failures"


def test_seeds_that_are_no_range_are_refused():
    assert run("prove", "--seeds", "9:3").exit_code == 2


def test_difficulty_tells_the_spread_of_each_feature():
    answer = run("report", "difficulty", "--seeds", "0:6", "--archetype", "flat", "--level", "1", "--jobs", "1")
    assert answer.exit_code == 0, answer.output
    assert "flat, level 1" in answer.stdout
    for name in ("rules", "steps", "sums", "sheets", "nearest_percent", "traps", "words"):
        assert f"  {name}" in answer.stdout
    assert answer.stdout.splitlines()[-1] == "1 families, 0 with papers of unequal length"


def test_the_words_to_aim_at_are_the_65_percent_value_of_families_that_are_too_wide():
    # Ordered by hand: of 101 papers of 603 to 703 words the 66th shortest has 668.
    papers = [603.0 + number for number in range(101)]
    assert words_to_aim_at({"words": spread(papers)}) == 670
    tight, wide = {"words": spread([690.0, 700.0])}, {"words": spread(papers)}
    lines = list(_difficulty_lines({("flat", 1): tight, ("flat", 2): wide}, [("flat", 2)]))
    assert "flat: alike with words = { 2 = 670 } in its file" in lines


def test_difficulty_of_an_unknown_archetype_is_refused_with_the_nearest():
    answer = run("report", "difficulty", "--archetype", "flta")
    assert answer.exit_code == 2
    assert "nearest: flat" in answer.stderr


def test_coverage_counts_objectives_rules_and_traps_as_json():
    answer = run("report", "coverage", "--seeds", "0:8", "--jobs", "1", "--format", "json")
    told = json.loads(answer.stdout)
    assert sum(told["tasks"].values()) == 8
    assert set(told) == {"tasks", "objectives", "rules", "traps", "left_out"}


def test_coverage_of_few_seeds_says_what_is_left_out_and_ends_with_1():
    answer = run("report", "coverage", "--seeds", "0:4", "--kind", "choose", "--jobs", "1")
    assert answer.exit_code == 1
    assert "Traps never planted" in answer.stdout
