"""A grade and a solution name the rule set that gave them, not the one under which the task was made."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.services.workshop import DECISION, workshop
from trainer.cli.main import main
from trainer.domain.rules.version import rule_set_version
from trainer.interop.canonical import canonical_bytes
from trainer.interop.task_json import task_json


@pytest.fixture
def made_before(tmp_path: Path) -> Path:
    """A task that an older rule set made."""
    document = task_json(workshop(), (1,), "", with_key=True)
    assert document["rule_set_version"] != rule_set_version()
    file = tmp_path / "task.json"
    file.write_bytes(canonical_bytes(document))
    return file


def test_a_grade_names_the_rules_that_judged(made_before: Path, tmp_path: Path) -> None:
    answer = {"format": "protection-trainer/answer", "kind": "choose", "answers": {DECISION: "30"}}
    answer["scenario"] = json.loads(made_before.read_bytes())["id"]
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(answer))
    result = CliRunner().invoke(main, ["grade", str(made_before), str(file), "--format", "json"])
    assert json.loads(result.stdout)["rule_set_version"] == rule_set_version()


def test_a_solution_names_the_rules_that_judged(made_before: Path) -> None:
    result = CliRunner().invoke(main, ["solve", str(made_before), "--format", "json"])
    assert json.loads(result.stdout)["rule_set_version"] == rule_set_version()
