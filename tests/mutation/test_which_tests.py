"""Every path that the choice of tests names is there, and a module gets the folders of the closest beginning."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mutation.which_tests import FOLDERS, FURTHER, LEFT_OUT, folders, own_tests


def test_everything_that_is_named_is_there(root: Path) -> None:
    named = {
        *FOLDERS,
        *FURTHER,
        *LEFT_OUT,
        *(each for paths in (*FOLDERS.values(), *FURTHER.values()) for each in paths),
    }
    assert [each for each in sorted(named) if not (root / each).exists()] == []


def test_a_module_is_tried_by_the_files_of_its_name_and_those_named_beside(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(root)
    assert "tests/domain/rules/test_selectivity.py" in own_tests("trainer/domain/rules/series.py")
    assert "tests/domain/rules/test_series.py" in own_tests("trainer/domain/rules/series.py")


@pytest.mark.parametrize(
    ("module", "first"),
    [
        ("trainer/domain/answers/solver.py", "tests/domain/answers"),
        ("trainer/domain/findings.py", "tests/domain/test_findings.py"),
        # Named nowhere: the folder that mirrors it.
        ("trainer/domain/rules/tt.py", "tests/domain/rules"),
    ],
)
def test_the_folders_follow_from_the_module(
    module: str, first: str, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(root)
    assert folders(module)[0] == first
