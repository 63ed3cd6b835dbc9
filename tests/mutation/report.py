"""What a session of cosmic-ray found, read from its database."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

_QUERY = """
SELECT m.module_path, m.start_pos_row, m.operator_name, r.test_outcome, r.diff
FROM mutation_specs AS m JOIN work_results AS r ON r.job_id = m.job_id
WHERE r.worker_outcome = 'NORMAL'
ORDER BY m.module_path, m.start_pos_row, m.operator_name
"""


class Mutant(NamedTuple):
    """One change that was tried."""

    module: str
    line: int
    operator: str
    survived: bool
    change: str


def _change(diff: str) -> str:
    """The lines that were added by the change, without what surrounds them."""
    added = [line[1:].strip() for line in diff.splitlines() if line.startswith("+") and not line.startswith("+++")]
    return " ".join(added)


def mutants(session: Path, source: Path) -> list[Mutant]:
    """All changes of a session that were tried, in the order of the file."""
    with closing(sqlite3.connect(session)) as connection:
        rows = connection.execute(_QUERY).fetchall()
    return [
        Mutant(str(module), line, operator.removeprefix("core/"), outcome == "SURVIVED", _change(diff or ""))
        for module, line, operator, outcome, diff in rows
    ]


def figures(name: str, tried: Sequence[Mutant]) -> str:
    """One line: how many changes, how many noticed."""
    killed = sum(not each.survived for each in tried)
    share = f"{100 * killed / len(tried):.1f} %" if tried else "nothing to change"
    return f"{name}: {killed} of {len(tried)} noticed, {share}"


def survivors(tried: Sequence[Mutant]) -> str:
    """The changes that no test noticed, one in a line."""
    return "\n".join(f"{each.module}:{each.line} {each.operator}: {each.change}" for each in tried if each.survived)
