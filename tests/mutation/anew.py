"""Tries a change that shows only at import: a child that has loaded nothing of the product imports the changed text."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType

import pytest

from tests.mutation import which_tests
from tests.mutation.children import FAILED, PASSED, in_a_child

PROCESSOR_S = 120
OPTIONS = ("-q", "-x", "-p", "no:cacheprovider", "--tb=no", "-o", "addopts=--import-mode=importlib --benchmark-disable")


def _load_instead(file: str, source: str) -> None:
    """Let whoever imports the file get another source."""
    usual = SourceFileLoader.get_code

    def code(self: SourceFileLoader, name: str) -> CodeType | None:
        if self.path == file:
            return compile(source, file, "exec", dont_inherit=True)
        return usual(self, name)

    SourceFileLoader.get_code = code  # type: ignore[method-assign, assignment]


def outcome(root: Path, module: str, after: str, tests: Sequence[str]) -> str:
    """Noticed or survived, by the module's own tests and then by all that may notice."""
    file = str(root / module)

    def work() -> bool:
        _load_instead(file, after)
        own = which_tests.own_tests(module)
        if own and pytest.main([*OPTIONS, *own]) != pytest.ExitCode.OK:
            return False
        if set(tests) <= set(own):
            return True
        left_out = [f"--ignore={each}" for each in (*which_tests.LEFT_OUT, *own)]
        return pytest.main([*OPTIONS, *left_out, *tests]) in {0, 5}

    return {PASSED: "survived", FAILED: "noticed"}.get(in_a_child(work, PROCESSOR_S), "noticed")
