"""``trainer solve`` and ``trainer grade`` on a task from a file, for people and for machines."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tests.web.practice.conftest import hand_made_task
from trainer.cli.main import main
from trainer.domain.answers.solver import Solution
from trainer.interop.canonical import canonical_bytes
from trainer.interop.task_json import task_json
from trainer.services.answering import solution_of


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solution_of(hand_made_task())


@pytest.fixture
def scenario(tmp_path: Path, solution: Solution) -> Path:
    file = tmp_path / "task.json"
    file.write_bytes(canonical_bytes(task_json(hand_made_task(), solution.weights, "Caution.", with_key=True)))
    return file


def answer(task_file: Path, tmp_path: Path, *choices: str, **changes: Any) -> Path:
    decisions = [each.id for each in hand_made_task().decisions]
    document = {
        "format": "protection-trainer/answer",
        "kind": "choose",
        "scenario": json.loads(task_file.read_bytes())["id"],
        "answers": dict(zip(decisions, choices, strict=True)),
        **changes,
    }
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(document), "utf-8")
    return file


def run(*words: str | Path) -> tuple[int, str]:
    result = CliRunner().invoke(main, [str(word) for word in words])
    return result.exit_code, result.stdout


def test_solve_counts_and_factors_the_acceptable_answers(scenario: Path) -> None:
    code, text = run("solve", scenario, "--format", "json")
    document = json.loads(text)
    assert code == 0
    assert document["proposal_space"] == 16
    assert document["acceptable_count"] == 1
    assert set(document["cheapest"].values()) == {"B"}


def test_solve_tells_people_what_needs_least(scenario: Path) -> None:
    code, text = run("solve", scenario)
    assert code == 0
    assert "1 of 16 proposals" in text
    assert "training aid" in text


def test_grade_gives_marks_words_and_the_least_change(scenario: Path, tmp_path: Path) -> None:
    code, text = run("grade", scenario, answer(scenario, tmp_path, "A", "B"), "--format", "json")
    document = json.loads(text)
    assert code == 0
    assert not document["safe_to_energise"]
    assert document["least_change"] == [{"decision": document["decisions"][0]["id"], "from": "A", "to": "B"}]
    wrong = document["decisions"][0]
    assert (wrong["marks"], wrong["marks_available"]) == (0, 4)
    assert "531.3.3" in wrong["explanation_text"]
    assert document["findings"][wrong["findings"][0]]["rule"]


def test_grade_as_text_warns_before_anything_else(scenario: Path, tmp_path: Path) -> None:
    _, text = run("grade", scenario, answer(scenario, tmp_path, "A", "B"))
    assert "NOT SAFE TO ENERGISE" in text
    assert "training aid" in text


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"scenario": "0" * 64}, "scenario"),
        ({"kind": "inspect"}, "kind"),
        ({"answers": {"nothing": "A"}}, "answers.nothing"),
        ({"answers": []}, "answers"),
        ({"certainty": {"nothing": 2}}, "certainty.nothing"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_an_answer_that_does_not_fit_is_refused_with_the_place(
    scenario: Path, tmp_path: Path, changes: dict[str, Any], path: str
) -> None:
    code, text = run("grade", scenario, answer(scenario, tmp_path, "B", "B", **changes), "--format", "json")
    assert code == 2
    assert path in [problem["path"] for problem in json.loads(text)["errors"]]


def test_a_file_that_is_no_task_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "nothing.json"
    file.write_text("{}", "utf-8")
    assert run("solve", file)[0] == 2
