"""Commands for whoever runs the site."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main


@pytest.fixture
def data(tmp_path: Path) -> str:
    return str(tmp_path / "data")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def last(data: str) -> str:
    answer = run("audit", "verify", "--data", data)
    assert answer.exit_code == 0
    return re.search(r"Last: (\d+:[0-9a-f]{64})", answer.output)[1]


def test_an_operator_gets_a_link_that_leads_to_the_site(data: str) -> None:
    answer = run("operator", "boss", "--data", data, "--address", "https://trainer.example.org/")
    assert re.fullmatch(
        r"Open within an hour, once: https://trainer\.example\.org/invitation/[\w-]{43}\n", answer.output
    )


def test_the_same_operator_again_gets_a_new_link_and_no_second_account(data: str) -> None:
    first, second = run("operator", "boss", "--data", data), run("operator", "boss", "--data", data)
    assert first.output != second.output
    with sqlite3.connect(Path(data) / "trainer.sqlite3") as connection:
        assert connection.execute("SELECT count(*) FROM person").fetchone() == (1,)
        assert connection.execute("SELECT count(*) FROM single_use_token").fetchone() == (1,)
    connection.close()


def test_a_name_that_cannot_be_used_is_wrong_use(data: str) -> None:
    answer = run("operator", "two words", "--data", data)
    assert (answer.exit_code, "sign_in_name" in answer.stderr) == (2, True)


def test_an_empty_chain_and_a_whole_one_are_whole(data: str) -> None:
    assert last(data) == "0:" + "0" * 64
    run("operator", "boss", "--data", data)
    assert last(data).startswith("2:")


def test_a_chain_that_was_changed_is_told_with_exit_code_one(data: str) -> None:
    run("operator", "boss", "--data", data)
    run("operator", "other", "--data", data)
    with sqlite3.connect(Path(data) / "trainer.sqlite3") as connection:
        connection.execute("DROP TRIGGER audit_entry_is_never_changed")
        connection.execute("UPDATE audit_entry SET subject_id = 'x' WHERE number = 3")
    connection.close()
    answer = run("audit", "verify", "--data", data)
    assert (answer.exit_code, answer.output.split("\n")[0]) == (1, "Entry 3: was changed after it was written.")
    told = run("audit", "verify", "--data", data, "--format", "json")
    assert json.loads(told.stdout)["broken_at"] == 3


def test_a_noted_hash_finds_a_chain_whose_end_was_cut_off(data: str) -> None:
    run("operator", "boss", "--data", data)
    noted = last(data)
    assert run("audit", "verify", "--data", data, "--known", noted).exit_code == 0
    with sqlite3.connect(Path(data) / "trainer.sqlite3") as connection:
        connection.execute("DROP TRIGGER audit_entry_is_never_removed")
        connection.execute("DELETE FROM audit_entry WHERE number = 2")
    connection.close()
    assert run("audit", "verify", "--data", data).exit_code == 0
    answer = run("audit", "verify", "--data", data, "--known", noted)
    assert (answer.exit_code, "shorter than noted" in answer.output) == (1, True)


@pytest.mark.parametrize("noted", ["x", "1:abc", ":", "-1:" + "0" * 64])
def test_a_noted_hash_in_another_form_is_wrong_use(data: str, noted: str) -> None:
    assert run("audit", "verify", "--data", data, "--known", noted).exit_code == 2
