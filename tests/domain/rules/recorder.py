"""A pytest plugin: writes down what every rule said in which test. Used by test_every_rule_is_tested.py only."""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from trainer.domain.findings import Verdict
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome

# rule id -> what was seen -> the tests that saw it
Seen = dict[str, dict[str, list[str]]]
CLOSE = 0.01


def kinds(verdict: Verdict) -> list[str]:
    """The outcome of a verdict, whether it compares numbers, and whether it stands on its limit or close to it."""
    found = [verdict.outcome.value]
    value, limit = verdict.value, verdict.limit
    if isinstance(value, int | float) and isinstance(limit, int | float):
        found.append("compares")
        if round(value, 6) == round(limit, 6):
            found.append("on the limit")
        elif abs(value - limit) <= CLOSE * abs(limit):
            found.append("just complies" if verdict.outcome is Outcome.COMPLIES else "just fails")
    return found


class Recorder:
    """Wraps the function of every rule and notes its verdicts by test."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.test = ""
        self.seen: Seen = {rule.id: {} for rule in ALL_RULES}
        for rule in ALL_RULES:
            self._listen(rule)

    def _listen(self, rule: Rule) -> None:
        original = rule.judge

        @functools.wraps(original)
        def listening(*records: Any) -> Verdict | None:
            verdict = original(*records)
            if verdict is not None and self.test:
                self._note(rule.id, verdict)
            return verdict

        object.__setattr__(rule, "judge", listening)

    def _note(self, rule_id: str, verdict: Verdict) -> None:
        for kind in kinds(verdict):
            tests = self.seen[rule_id].setdefault(kind, [])
            if self.test not in tests:
                tests.append(self.test)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        """Knows which test is running."""
        self.test = item.nodeid
        try:
            return (yield)
        finally:
            self.test = ""

    def pytest_sessionfinish(self) -> None:
        """Everything in one file."""
        self.file.write_text(json.dumps(self.seen), "utf-8")


def pytest_addoption(parser: pytest.Parser) -> None:
    """The file that the record goes to."""
    parser.addoption("--record-rules", type=Path, required=True)


def pytest_configure(config: pytest.Config) -> None:
    """Listens from the start."""
    config.pluginmanager.register(Recorder(config.getoption("--record-rules")))
