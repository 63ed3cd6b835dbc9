"""What each test reaches and how long it takes, from running it once; remembered until the test or the code changes."""

from __future__ import annotations

import hashlib
import pickle
import signal
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import click
import pytest
from _pytest.runner import runtestprotocol
from _pytest.tmpdir import TempPathFactory

from tests.mutation.children import PASSED, in_a_child
from tests.mutation.reached import Reached, Trace

MEASURING_S, LEAST_S, WAITING_S = 1800, 2, 120
FEW_EXAMPLES = 40


class Known(NamedTuple):
    """What is known of one test: the test, where it leads, and its share of a processor in seconds."""

    item: pytest.Item
    reached: dict[str, Reached]
    time_s: float


class Note(NamedTuple):
    """What was measured of one test, under a mark of what was measured; nothing reached where it failed."""

    mark: str
    reached: dict[str, Reached] | None
    time_s: float


def failed(items: Sequence[pytest.Item], usual_s: Sequence[float] = ()) -> pytest.Item | None:
    """The first of the tests that fails; this process ends where one takes ten times as long as usual, and a bit."""
    for number, item in enumerate(items):
        if usual_s:
            signal.setitimer(signal.ITIMER_PROF, LEAST_S + 10 * usual_s[number])
            # A test that waits uses no processor.
            signal.alarm(WAITING_S + round(100 * usual_s[number]))
        following = items[number + 1] if number + 1 < len(items) else None
        reports = runtestprotocol(item, nextitem=following, log=False)
        if any(report.failed for report in reports):
            return item
    return None


def with_few_examples(items: Sequence[pytest.Item]) -> None:
    """Let tests that draw examples draw some tens: they are run for every change."""
    import hypothesis  # Not before pytest has loaded it as its plugin.

    for item in items:
        function = getattr(item, "obj", None)
        usual = getattr(function, "_hypothesis_internal_use_settings", None)
        if usual is not None and usual.max_examples > FEW_EXAMPLES:
            fewer = hypothesis.settings(usual, max_examples=FEW_EXAMPLES)
            function._hypothesis_internal_use_settings = fewer  # type: ignore[union-attr]


def _marks(root: Path, items: Sequence[pytest.Item]) -> dict[str, str]:
    """For each test a mark of its file, of the product and of what tests share, but for this tool."""
    shared = hashlib.sha256()
    for file in sorted([*root.glob("trainer/**/*.py"), *root.glob("tests/**/*.py")]):
        if not file.name.startswith("test_") and file.parent != Path(__file__).parent:
            shared.update(file.read_bytes())
    own = {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in {item.path for item in items}}
    return {item.nodeid: shared.hexdigest() + own[item.path] for item in items}


class Measuring:
    """Runs each test once under a trace, in a child."""

    def __init__(self, root: Path, trace: Trace, place: Path, factory: TempPathFactory) -> None:
        self.root, self.trace, self.place, self.factory = root, trace, place, factory

    def known(self, items: Sequence[pytest.Item]) -> list[Known]:
        """What each test reaches; tests that fail are told of and left out."""
        marks = _marks(self.root, items)
        notes: dict[str, Note] = pickle.loads(self.place.read_bytes()) if self.place.exists() else {}
        new = [item for item in items if item.nodeid not in notes or notes[item.nodeid].mark != marks[item.nodeid]]
        if new:
            self._measure(new, notes, marks)
            notes = pickle.loads(self.place.read_bytes())
            self._in_another_order([item for item in new if notes[item.nodeid].reached is not None], notes)
        failing = [item.nodeid for item in items if notes[item.nodeid].reached is None]
        if failing:
            click.echo(f"left out, for they fail without any change: {', '.join(failing)}", err=True)
        found = [(item, notes[item.nodeid]) for item in items]
        return [Known(item, note.reached, note.time_s) for item, note in found if note.reached is not None]

    def _measure(self, items: Sequence[pytest.Item], notes: dict[str, Note], marks: dict[str, str]) -> None:
        def work() -> bool:
            for item in items:
                began = time.process_time()
                with self.trace.on():
                    fails = failed([item])
                reached = self.trace.taken()
                time_s = time.process_time() - began
                notes[item.nodeid] = Note(marks[item.nodeid], None if fails else reached, time_s)
            self.place.write_bytes(pickle.dumps(notes))
            return True

        if in_a_child(work, MEASURING_S, self.factory) != PASSED:
            raise click.ClickException("the tests could not be run once under a trace")

    def _in_another_order(self, items: Sequence[pytest.Item], notes: dict[str, Note]) -> None:
        """Run the short tests first without any change: one that leans on others would be blamed on changes."""
        leaning = self.place.with_suffix(".leaning.txt")

        def work() -> bool:
            item = failed(sorted(items, key=lambda each: notes[each.nodeid].time_s))
            if item is not None:
                leaning.write_text(item.nodeid, "utf-8")
            return item is None

        if in_a_child(work, MEASURING_S, self.factory) != PASSED:
            self.place.unlink()
            raise click.ClickException(f"a test fails when others ran before it: see {leaning}")
