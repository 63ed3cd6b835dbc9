"""The version of the rule set follows from the content of its files, on folders made up here."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from trainer.domain.rules import version
from trainer.domain.rules.version import rule_set_version


@pytest.fixture
def domain(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Three small folders in the place of the domain's."""
    for part in ("rules", "limits", "calculations"):
        (tmp_path / part).mkdir()
        (tmp_path / part / "a.py").write_bytes(b"x = 1\n")
    (tmp_path / "limits" / "data").mkdir()
    (tmp_path / "limits" / "data" / "rows.csv").write_bytes(b"a,1\n")
    monkeypatch.setattr(version.resources, "files", lambda _package: tmp_path)
    rule_set_version.cache_clear()
    yield tmp_path
    rule_set_version.cache_clear()


def again() -> str:
    rule_set_version.cache_clear()
    return rule_set_version()


def test_the_version_is_1_and_twelve_digits_of_the_digest(domain: Path) -> None:
    # Written out: path, length and content of each file, in the order of the parts and of the names.
    rows = (("rules/a.py", b"x = 1\n"), ("limits/a.py", b"x = 1\n"), ("limits/data/rows.csv", b"a,1\n"))
    content = b"".join(
        f"{path} {len(data)}\n".encode() + data for path, data in (*rows, ("calculations/a.py", b"x = 1\n"))
    )
    assert rule_set_version() == f"1.{hashlib.sha256(content).hexdigest()[:12]}"


def test_the_version_of_the_book_has_that_form() -> None:
    assert re.fullmatch(r"1\.[0-9a-f]{12}", again())


@pytest.mark.parametrize("file", ["rules/a.py", "limits/data/rows.csv", "calculations/a.py"])
def test_every_file_counts(domain: Path, file: str) -> None:
    before = rule_set_version()
    (domain / file).write_bytes(b"x = 2\n")
    assert again() != before


@pytest.mark.parametrize("name", ["b.py", "b.toml", "b.csv"])
def test_a_new_file_of_code_or_data_counts_and_another_does_not(domain: Path, name: str) -> None:
    before = rule_set_version()
    (domain / "rules" / "notes.txt").write_bytes(b"a note")
    assert again() == before
    (domain / "rules" / name).write_bytes(b"")
    assert again() != before


def test_a_file_by_another_name_is_another_version(domain: Path) -> None:
    before = rule_set_version()
    (domain / "rules" / "a.py").rename(domain / "rules" / "b.py")
    assert again() != before


def test_line_ends_of_another_system_make_no_difference(domain: Path) -> None:
    before = rule_set_version()
    (domain / "rules" / "a.py").write_bytes(b"x = 1\r\n")
    assert again() == before


def test_the_version_is_made_once(domain: Path) -> None:
    before = rule_set_version()
    (domain / "rules" / "a.py").write_bytes(b"x = 2\n")
    assert rule_set_version() == before
