"""``trainer scenario``: for people, for machines, with and without the key, and what it refuses."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.explain.caution import CAUTION
from trainer.interop.canonical import canonical_bytes
from trainer.interop.task_reading import read_task


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
    from trainer.domain.generator.request import TaskRequest
    from trainer.services.scenarios import make_task

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
