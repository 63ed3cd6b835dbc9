"""``trainer scenario``: for people, for machines, with and without the key, and what it refuses."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.domain.generator.request import TaskRequest
from trainer.explain.caution import CAUTION
from trainer.interop.canonical import canonical_bytes
from trainer.interop.task_json import task_json
from trainer.interop.task_reading import read_task
from trainer.services.answering import solution_of
from trainer.services.scenarios import make_task


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["scenario", *arguments])


def test_the_json_is_canonical_and_alone_on_standard_output():
    answer = run("--seed", "5", "--level", "4", "--format", "json")
    assert answer.exit_code == 0
    assert answer.stderr == ""
    assert answer.stdout_bytes == canonical_bytes(json.loads(answer.stdout))


def test_the_key_stands_only_where_it_was_asked_for():
    assert "key" not in json.loads(run("--seed", "5", "--format", "json").stdout)
    key = json.loads(run("--seed", "5", "--with-key", "--format", "json").stdout)["key"]
    assert key["traps"]
    assert key["acceptable_count"] >= 1


def test_the_key_does_not_change_the_id():
    without = json.loads(run("--seed", "5", "--format", "json").stdout)
    with_key = json.loads(run("--seed", "5", "--with-key", "--format", "json").stdout)
    assert without["id"] == with_key["id"]


def test_the_installation_does_not_hold_what_is_to_be_decided():
    told = json.loads(run("--seed", "8", "--level", "3", "--format", "json").stdout)
    for decision in told["decisions"]:
        for edit in decision["options"][0]["sets"]:
            collection, _, rest = edit["path"].partition(".")
            key, _, attribute = rest.partition(".")
            if collection == "devices":
                device = next(each for each in told["installation"]["devices"] if each["id"] == key)
                assert attribute not in device


@pytest.mark.parametrize("level", ["1", "2", "3", "4"])
def test_a_task_written_out_reads_back_as_the_same_task(level):
    answer = run("--seed", "31", "--level", level, "--with-key", "--format", "json")
    assert read_task(answer.stdout_bytes).task == make_task(TaskRequest(seed=31, level=int(level)))


def test_the_text_has_the_house_its_story_its_papers_its_decisions_and_the_caution():
    answer = run("--seed", "5", "--level", "2")
    text = " ".join(answer.stdout.split())
    for part in ("Seed 5, level 2", "Everything here is invented", "Supply record", "Survey", "TO DECIDE", CAUTION):
        assert part in text
    assert "KEY" not in text
    assert max(len(line) for line in answer.stdout.splitlines()) <= 88


def test_the_text_with_the_key_names_the_traps():
    assert "Traps:" in run("--seed", "5", "--with-key").stdout


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("--seed", "-1"), "must be from 0 to 9223372036854775807"),
        (("--seed", str(2**63)), "must be from 0 to"),
        (("--seed", "1", "--level", "9"), "unknown level"),
        (("--seed", "1", "--archetype", "terace"), "nearest: terrace"),
        (("--seed", "1", "--kind", "chose"), "nearest: choose"),
        (("--seed", "1", "--archetype", "flat", "--level", "4"), "has no scenarios of level 4"),
        (("--seed", "one"), "not a valid integer"),
        ((), "Missing option"),
    ],
)
def test_what_cannot_be_made_ends_with_2_and_a_message_without_a_trace(arguments, expected):
    answer = run(*arguments)
    assert (answer.exit_code, answer.stdout) == (2, "")
    assert expected in answer.stderr
    assert "Traceback" not in answer.stderr


def test_errors_are_json_where_json_was_asked_for():
    answer = run("--seed", "1", "--archetype", "terace", "--format", "json")
    assert answer.exit_code == 2
    assert json.loads(answer.stdout)["errors"][0]["nearest"] == "terrace"


def test_the_key_for_people_tells_acceptable_answers_traps_and_why():
    answer = run("--seed", "5", "--level", "2", "--with-key")
    assert "acceptable proposals" in answer.stdout
    assert "Believed: " in answer.stdout
    assert "Exercises LO" in answer.stdout


def test_a_task_for_an_objective_names_the_seed_that_gives_it_alone():
    drawn = run("--seed", "5", "--level", "1", "--objective", "LO46", "--format", "json").stdout
    seed = str(json.loads(drawn)["seed"])
    assert run("--seed", seed, "--level", "1", "--format", "json").stdout == drawn


def test_a_seed_of_an_older_generator_is_refused_with_what_can_be_done():
    answer = run("--seed", "5", "--generator-version", "1")
    assert answer.exit_code == 2
    assert "A stored task still opens" in answer.stderr


def test_a_stored_scenario_of_an_older_generator_opens_and_has_the_same_answers(tmp_path):
    """What was stored wins: nothing of it is made again from its seed."""
    today = make_task(TaskRequest(seed=5, level=2))
    solution = solution_of(today)
    old = task_json(replace(today, generator_version="1", seed=1), solution.weights, CAUTION, solution=solution)
    stored = tmp_path / "old.json"
    stored.write_bytes(canonical_bytes(old))
    assert read_task(stored.read_bytes()).task.house == today.house
    answer = CliRunner().invoke(main, ["solve", str(stored), "--format", "json"])
    assert answer.exit_code == 0, answer.output
    assert int(json.loads(answer.stdout)["acceptable_count"]) == solution.acceptable_count
