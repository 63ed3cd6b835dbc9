"""Tries the changes of some modules: loads the tests once, then makes each change in a child process of its own."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterable, Sequence
from itertools import accumulate
from pathlib import Path
from types import FunctionType

import pytest

from tests.mutation import swapping, which_tests
from tests.mutation.changes import Change, changed, differing
from tests.mutation.children import BROKEN, FAILED, PASSED, in_a_child
from tests.mutation.equivalents import same_in_other_words
from tests.mutation.measuring import MEASURING_S, Known, Measuring, failed, with_few_examples
from tests.mutation.reached import Reached, Trace
from tests.mutation.reasons import reasons
from tests.mutation.results import Results

AT_MOST_S = 900


def _ready_database() -> None:
    """A database with all tables made once, instead of once in each child."""
    from tests import databases

    place = Path(tempfile.mkdtemp(prefix="mutation-database-"))
    make = databases.sqlite_template

    def work() -> bool:
        make(place)
        return True

    if in_a_child(work, MEASURING_S) == PASSED:
        databases.sqlite_template = lambda folder: Path(shutil.copy(place / "template.sqlite3", folder))


class Trying:
    """A plugin of pytest that, instead of running the tests, runs them once for each change."""

    def __init__(
        self, root: Path, todo: dict[str, Sequence[Change]], folder: Path, tests: Sequence[str], most_s: float
    ) -> None:
        self.root, self.todo, self.folder, self.tests, self.most_s = root, todo, folder, tests, most_s
        self.files = {module: str(root / module) for module in todo}
        # All modules that share these tests: what was measured for one then serves another.
        modules = sorted(root.glob(f"{Path(next(iter(todo))).parent}/*.py"))
        self.trace = Trace(sorted({*self.files.values(), *map(str, modules)}))
        self.at_import: dict[str, Reached] = {}

    def pytest_collection_finish(self) -> None:
        self.at_import = self.trace.taken()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.trace.off()
        session.items[:] = [item for item in session.items if self._counted(item)]
        self.factory = session.config._tmp_path_factory  # type: ignore[attr-defined]
        _ready_database()
        with_few_examples(session.items)
        which_tests.make_once(next(iter(self.todo)))
        place = self.folder / f"{'+'.join(self.tests).replace('/', '.')}.reached"
        known = Measuring(self.root, self.trace, place, self.factory).known(session.items)
        functions = swapping.living(self.files.values())
        for module, changes in self.todo.items():
            self._module(module, changes, known, functions.get(self.files[module], {}))
        return True

    def _counted(self, item: pytest.Item) -> bool:
        return str(item.path.relative_to(self.root)) not in which_tests.LEFT_OUT

    def _module(
        self,
        module: str,
        changes: Iterable[Change],
        known: list[Known],
        functions: dict[swapping.Place, list[FunctionType]],
    ) -> None:
        source = Path(self.files[module]).read_text("utf-8")
        reaching = [each for each in known if self.files[module] in each.reached]
        results = Results(self.folder, Path(self.files[module]), module)
        for change in changes:
            after = changed(source, change)
            outcome, by = self._outcome(module, change, source, after, reaching, functions)
            results.add(change, outcome, by, source, after)

    def _outcome(
        self,
        module: str,
        change: Change,
        source: str,
        after: str,
        reaching: list[Known],
        functions: dict[swapping.Place, list[FunctionType]],
    ) -> tuple[str, int]:
        """Noticed, not noticed, or to be tried in a process that imports everything anew; and the tests tried."""
        try:
            parts = swapping.differing(source, after)
        except swapping.NotSwappableError:
            return "anew", 0
        places = {where for where, _ in parts}
        started = self.at_import.get(self.files[module])
        if (started and places & started.functions) or any(len(functions.get(each, ())) > 1 for each in places):
            return "anew", 0
        chosen = self._chosen(module, change, places, reaching)
        lines = differing(source, after)
        if not parts or not chosen or same_in_other_words(*lines) or (module, *lines) in reasons():
            return "survived", len(chosen)

        def work() -> bool:
            swapping.swap(functions, parts)
            return failed([each.item for each in chosen], [each.time_s for each in chosen]) is None

        outcome = in_a_child(work, AT_MOST_S, self.factory)
        return {PASSED: "survived", FAILED: "noticed", BROKEN: "anew"}[outcome], len(chosen)

    def _chosen(self, module: str, change: Change, places: set[swapping.Place], reaching: list[Known]) -> list[Known]:
        """The tests that reach what differs: those that reach the row, the module's own, the short first."""
        own = set(which_tests.own_tests(module))
        rows = set(range(change.first_row, change.last_row + 1))
        file = self.files[module]

        def order(each: Known) -> tuple[bool, bool, float]:
            mine = str(each.item.path.relative_to(self.root)) in own
            return not each.reached[file].lines & rows, not mine, each.time_s

        # Nested functions count by themselves; the outermost that differs is run by whoever reaches any of them.
        found = sorted((each for each in reaching if each.reached[file].functions & places), key=order)
        until_s = accumulate(each.time_s for each in found)
        return [each for each, so_far_s in zip(found, until_s, strict=True) if so_far_s - each.time_s < self.most_s]
