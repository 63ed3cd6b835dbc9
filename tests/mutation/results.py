"""What came of each change, kept a line each, so that a run that was stopped goes on."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from tests.mutation.changes import Change, differing, mark
from tests.mutation.report import Mutant


class Results:
    """The results of one module as its file stands now; those of another text of it do not count."""

    def __init__(self, folder: Path, file: Path, module: str) -> None:
        self.mark = mark(file)
        self.place = folder / f"{module.replace('/', '.').removesuffix('.py')}.jsonl"

    def _rows(self) -> dict[str, dict[str, object]]:
        """The last word on each change."""
        if not self.place.exists():
            return {}
        rows = [json.loads(line) for line in self.place.read_text("utf-8").splitlines()]
        return {str(row["key"]): row for row in rows if row["mark"] == self.mark}

    def outcomes(self) -> dict[str, str]:
        """The outcome of each change that was tried, by its key."""
        return {key: str(row["outcome"]) for key, row in self._rows().items()}

    def add(self, change: Change, outcome: str, tests: int, source: str, after: str) -> None:
        """Note what came of a change."""
        before, now = differing(source, after)
        row = {
            "mark": self.mark,
            "key": change.key,
            "row": change.first_row,
            "outcome": outcome,
            "tests": tests,
            "before": before,
            "after": now,
        }
        with self.place.open("a", encoding="utf-8") as out:
            out.write(json.dumps(row) + "\n")

    def mutants(self, module: str, chosen: Iterable[Change]) -> list[Mutant]:
        """Those of the changes that were tried, in the order of the file."""
        known, keys = self._rows(), [each.key for each in chosen]
        rows = sorted(
            (known[key] for key in keys if key in known), key=lambda row: (int(str(row["row"])), str(row["key"]))
        )
        return [
            Mutant(
                module=module,
                line=int(str(row["row"])),
                operator=str(row["key"]).partition(" ")[0].removeprefix("core/"),
                survived=row["outcome"] == "survived",
                reached=bool(row["tests"]),
                before=str(row["before"]),
                after=str(row["after"]),
            )
            for row in rows
            if row["outcome"] != "anew"
        ]
