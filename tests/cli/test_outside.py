"""What a command cannot help, files, disks, a database out of reach, is told in a line, never by a trace."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def test_a_database_that_does_not_answer_is_told(tmp_path: Path) -> None:
    run("db", "upgrade", "--data", tmp_path / "data")
    answer = run("db", "move", "postgresql://nobody@127.0.0.1:1/none", "--data", tmp_path / "data")
    assert answer.exit_code == 2
    assert "the database does not answer" in answer.output


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "trainer.sqlite3").write_bytes(b"not a database at all" * 500)
    answer = run("db", "upgrade", "--data", tmp_path)
    assert answer.exit_code == 2
    assert "cannot be read" in answer.output


def test_a_name_that_no_file_can_have_is_told(tmp_path: Path) -> None:
    """POSIX.1-2017, limits.h: NAME_MAX; 255 bytes on Linux."""
    run("db", "upgrade", "--data", tmp_path / "data")
    answer = run("db", "backup", tmp_path / ("a" * 300), "--data", tmp_path / "data")
    assert answer.exit_code == 2
    assert "too long" in answer.output


def test_half_of_a_character_in_a_file_is_refused(tmp_path: Path) -> None:
    """RFC 8259, 8.2: an unpaired surrogate has no defined meaning; a pair is a character."""
    (tmp_path / "house.json").write_text('{"format": "\\ud800"}', "utf-8")
    assert "half of a character" in run("check", tmp_path / "house.json").output
    (tmp_path / "house.json").write_text('{"format": "\\ud83d\\udd0c"}', "utf-8")
    assert "half of a character" not in run("check", tmp_path / "house.json").output


def test_a_rating_of_nothing_is_refused() -> None:
    answer = run("calc", "maximum-zs", "--curve", "B", "--rating", "0")
    assert answer.exit_code == 2
    assert "must not be below 1 A" in answer.output


@pytest.mark.parametrize("value", ["1e309", "-inf", "nan"])
def test_a_number_without_end_is_refused_in_json_too(value: str) -> None:
    """RFC 8259, 6: JSON has no infinite numbers and no NaN."""
    answer = run("waveform", "resistive", f"--standing-dc={value}", "--format", "json")
    assert answer.exit_code == 2
    assert json.loads(answer.output)["errors"][0]["path"] == "standing_dc_ma"
