"""``trainer regrade``, run as people run it, over attempts that a lenient rule set graded."""

from __future__ import annotations

import json
from itertools import cycle, islice
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.services.workshop import OLD, keep
from trainer.cli.main import main
from trainer.cli.regrade import shortened
from trainer.config import sqlite_url
from trainer.domain.rules.version import rule_set_version
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.services.regrading.judging import judged_again


@pytest.fixture
def storage(tmp_path: Path):
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    upgrade(database)
    yield SqlStorage(database)
    database.close()


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["regrade", "--data", str(folder), *arguments])


def test_a_dry_run_shows_whom_it_changes_from_what_to_what_and_why(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, ["30", "100"])
    answer = run(tmp_path)
    assert answer.exit_code == 0
    said = answer.stdout
    assert "Attempt attempt-00001 of learner learne..." in said
    assert "marks: 1 of 1 -> 0 of 1" in said
    assert "Which rating? [rccb.rating] 30 mA: 1 of 1 -> 0 of 1" in said
    # 50 % and 30 % of 30 mA, by hand.
    assert "changed: RCD-05 at devices.rccb: complies, 11.5 mA against 15 mA" in said
    assert "-> does not comply, 11.5 mA against 9 mA [BS 7671:2018, 531.3.2]" in said
    assert "attempt-00002" not in said
    assert "Dry run: nothing was kept" in said
    assert "training aid" in said
    assert judged_again(storage, ["attempt-00001"]) == {}


def test_what_is_applied_is_kept_with_its_reason_and_not_done_twice(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, ["30", "100"])
    first = run(tmp_path, "--apply", "--reason", "the limit was entered as 50 %")
    assert "2 results kept" in first.stdout
    kept = judged_again(storage, ["attempt-00001", "attempt-00002"])
    assert [each[0].marks for each in kept.values()] == [0, 1]
    assert kept["attempt-00001"][0].reason == "the limit was entered as 50 %"
    second = run(tmp_path, "--apply", "--reason", "once more")
    assert "2 judged again under it before" in second.stdout
    assert "0 judged again now" in second.stdout


def test_attempts_under_this_rule_set_are_counted_only(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, ["30"], version=rule_set_version())
    assert "1 judged under it when handed in" in run(tmp_path).stdout


def test_machines_get_one_object_and_nothing_else(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, ["30", "100"])
    answer = run(tmp_path, "--format", "json")
    assert answer.stdout.endswith("\n")
    told = json.loads(answer.stdout)
    assert list(told) == sorted(told)
    assert told["format"] == "protection-trainer/regrading"
    assert told["applied"] is False
    assert told["counts"] == {
        "attempts": 2,
        "by_key": 0,
        "findings": 1,
        "judged_again_already": 0,
        "judged_already": 0,
        "not_judged": 0,
        "result": 1,
        "same": 0,
    }
    first, second = told["attempts"]
    assert (first["change"], second["change"]) == ("result", "findings")
    assert first["judged_before_under"] == OLD
    assert first["learner"] == "learne..."
    because = first["decisions"][0]["because"][0]
    assert (because["rule"], because["turn"], because["source"]) == ("RCD-05", "changed", "BS 7671:2018, 531.3.2")
    assert because["before"] == {"outcome": "complies", "value": 11.5, "limit": 15, "unit": "mA"}
    assert because["after"] == {"outcome": "does_not_comply", "value": 11.5, "limit": 9, "unit": "mA"}


def test_an_empty_database_has_nothing_to_judge(tmp_path: Path) -> None:
    answer = run(tmp_path)
    assert answer.exit_code == 0
    assert "0 attempts" in answer.stdout
    assert json.loads(run(tmp_path, "--format", "json").stdout)["attempts"] == []


def test_an_attempt_that_cannot_be_read_is_named_and_ends_with_exit_code_1(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, ["30"], grade_json=b"not a grade")
    answer = run(tmp_path)
    assert answer.exit_code == 1
    assert "Attempt attempt-00001 cannot be judged again" in answer.stdout
    assert "1 could not be judged" in answer.stdout
    (told,) = json.loads(run(tmp_path, "--format", "json").stdout)["attempts"]
    assert told["change"] == "not_judged"
    assert "not JSON" in told["errors"][0]["problem"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--apply",), "say in a few words why"),
        (("--apply", "--reason", " "), "say in a few words why"),
        (("--apply", "--reason", "x" * 501), "longer than 500"),
        (("--reason", "why not"), "add --apply"),
    ],
)
def test_keeping_needs_a_reason_and_a_reason_needs_to_be_kept(
    tmp_path: Path, storage: SqlStorage, arguments: tuple[str, ...], said: str
) -> None:
    keep(storage, ["30"])
    answer = run(tmp_path, *arguments)
    assert answer.exit_code == 2
    assert said in answer.stderr
    assert answer.stdout == ""
    assert judged_again(storage, ["attempt-00001"]) == {}
    as_json = run(tmp_path, *arguments, "--format", "json")
    assert as_json.exit_code == 2
    assert json.loads(as_json.stdout)["errors"][0]["path"] == "reason"


def test_the_bar_of_progress_goes_to_standard_error_only(tmp_path: Path, storage: SqlStorage) -> None:
    keep(storage, islice(cycle(["100"]), 3))
    answer = run(tmp_path)
    assert "Judging again" not in answer.stdout
    assert "Judging again" in answer.stderr


def test_a_learner_is_told_apart_but_not_given_away() -> None:
    assert shortened("abcdefghijklmnopqrstuvwx") == "abcdef..."
    assert shortened(None) == "unknown"
