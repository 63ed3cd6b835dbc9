"""The domain computes; it reads no clock, no file, no network and no shared randomness."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ALLOWED_LIBRARIES = {"numpy", "trainer"}

# Modules of the standard library by which the outside would come in.
OUTSIDE = {
    "asyncio", "ctypes", "glob", "http", "io", "logging", "multiprocessing", "os", "secrets", "select", "shutil",
    "signal", "socket", "sqlite3", "ssl", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid",
}  # fmt: skip

# The published tables are read once at import; the version of the rules is made from their own text.
READERS = ("trainer/domain/limits/", "trainer/domain/rules/registry.py", "trainer/domain/rules/version.py")
FILE_READING = {"importlib.resources", "pathlib"}


def domain_files(root: Path) -> list[Path]:
    return sorted((root / "trainer" / "domain").rglob("*.py"))


def reads_files(path: Path, root: Path) -> bool:
    return path.relative_to(root).as_posix().startswith(READERS)


def imported(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_the_domain_imports_the_standard_library_numpy_and_itself_only(root: Path) -> None:
    foreign = {
        f"{path.relative_to(root)}: {name}"
        for path in domain_files(root)
        for name in imported(ast.parse(path.read_text(encoding="utf-8")))
        if name.partition(".")[0] not in ALLOWED_LIBRARIES | sys.stdlib_module_names
        or (name.startswith("trainer.") and not name.startswith("trainer.domain"))
    }
    assert foreign == set()


def test_the_domain_has_no_way_to_the_outside(root: Path) -> None:
    ways_out = {
        f"{path.relative_to(root)}: {name}"
        for path in domain_files(root)
        for name in imported(ast.parse(path.read_text(encoding="utf-8")))
        if name.partition(".")[0] in OUTSIDE or (name.startswith(tuple(FILE_READING)) and not reads_files(path, root))
    }
    assert ways_out == set()


def calls(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func)


@pytest.mark.parametrize("forbidden", ["open", "print", "input", "datetime.now", "datetime.utcnow", "date.today"])
def test_the_domain_never_calls(root: Path, forbidden: str) -> None:
    callers = [
        str(path.relative_to(root))
        for path in domain_files(root)
        if forbidden in set(calls(ast.parse(path.read_text(encoding="utf-8"))))
        and not (forbidden == "open" and reads_files(path, root))
    ]
    assert callers == []


def test_randomness_comes_only_from_a_generator_that_was_seeded(root: Path) -> None:
    shared = [
        f"{path.relative_to(root)}: {call}"
        for path in domain_files(root)
        for call in calls(ast.parse(path.read_text(encoding="utf-8")))
        if call.startswith(("random.", "np.random.", "numpy.random.")) and call != "random.Random"
    ]
    assert shared == []
