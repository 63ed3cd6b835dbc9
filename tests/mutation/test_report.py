"""A change that was noticed, one that says the same, one that was looked at and one that is left are counted apart."""

from __future__ import annotations

import pytest

from tests.mutation import report
from tests.mutation.report import Mutant, figures, survivors


def _tried(before: str, after: str, *, survived: bool = True, reached: bool = True) -> Mutant:
    return Mutant(
        module="trainer/domain/rules/tt.py",
        line=7,
        operator="NumberReplacer",
        survived=survived,
        reached=reached,
        before=before,
        after=after,
    )


TRIED = (
    _tried("if a > 1:", "if a > 2:", survived=False),
    _tried("if fitted is RcdType.B:", "if fitted == RcdType.B:"),
    _tried("start = 0", "start = 1"),
    _tried("if size >= least:", "if size > least:", reached=False),
)


@pytest.fixture(autouse=True)
def one_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    known = {("trainer/domain/rules/tt.py", "start = 0", "start = 1"): "it is replaced before anybody reads it"}
    monkeypatch.setattr(report, "reasons", lambda: known)


def test_each_of_four_changes_is_counted_once() -> None:
    assert figures("tt", TRIED) == "| tt | 4 | 1 | 25.0 % | 1 | 1 | 1 |"


def test_only_what_a_test_could_notice_is_listed() -> None:
    assert survivors(TRIED).splitlines() == [
        "trainer/domain/rules/tt.py:7 NumberReplacer (no test comes here)",
        "  - if size >= least:",
        "  + if size > least:",
    ]
