"""The checkers that keep types, style and layers."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

BESIDE_PYTHON = Path(sys.executable).parent


def run(root: Path, *command: str) -> str:
    answer = subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)
    return "" if answer.returncode == 0 else answer.stdout + answer.stderr


@pytest.mark.parametrize(
    "command",
    [
        pytest.param((sys.executable, "-m", "mypy", "--no-error-summary"), id="types"),
        pytest.param((sys.executable, "-m", "ruff", "check", "--quiet", "."), id="style"),
        pytest.param((sys.executable, "-m", "ruff", "format", "--quiet", "--check", "."), id="format"),
        pytest.param((str(BESIDE_PYTHON / "lint-imports"), "--no-logo"), id="layers"),
    ],
)
def test_the_checker_finds_nothing(root: Path, command: tuple[str, ...]) -> None:
    problems = run(root, *command)
    assert problems == "", problems
