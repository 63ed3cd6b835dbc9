"""Whatever is imported is asked for, so that a fresh machine has it."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest


def plain(name: str) -> str:
    """A package's name as the packaging specification compares names."""
    return re.sub(r"[-_.]+", "-", name).lower()


def asked_for(root: Path, *, tests: bool) -> set[str]:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extra = project["optional-dependencies"]
    # What changes modules on purpose is asked for apart; no test needs it.
    lines = [*project["dependencies"], *([*extra["test"], *extra["mutation"]] if tests else [])]
    return {plain(re.split(r"[<>=~!;\[ ]", line, maxsplit=1)[0]) for line in lines}


def imported(folder: Path) -> set[str]:
    names: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
                names.add(node.module.partition(".")[0])
    return names - sys.stdlib_module_names - {"trainer", "tests"}


# Parts of Flask, which brings them along.
BROUGHT_ALONG = {"werkzeug", "markupsafe", "itsdangerous"}


@pytest.mark.parametrize(("folder", "tests"), [("trainer", False), ("tests", True)])
def test_every_library_that_is_imported_is_asked_for(root: Path, folder: str, *, tests: bool) -> None:
    brought_by = packages_distributions()
    asked = asked_for(root, tests=tests) | BROUGHT_ALONG
    missing = {
        name for name in imported(root / folder) if not {plain(each) for each in brought_by.get(name, [name])} & asked
    }
    assert missing == set()
