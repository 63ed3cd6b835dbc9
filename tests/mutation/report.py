"""What a session of cosmic-ray found, read from its database."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from tests.mutation.equivalents import same_in_other_words

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
    before: str
    after: str

    @property
    def same(self) -> bool:
        """True where no test can notice: the change says the same in other words."""
        return self.survived and same_in_other_words(self.before, self.after)


def _lines(diff: str, sign: str) -> str:
    """The lines of a difference that were taken away or added, without what surrounds them."""
    lines = [line for line in diff.splitlines() if not line.startswith(sign * 3)]
    return " ".join(line[1:].strip() for line in lines if line.startswith(sign))


def mutants(session: Path) -> list[Mutant]:
    """All changes of a session that were tried, in the order of the file."""
    with closing(sqlite3.connect(session)) as connection:
        rows = connection.execute(_QUERY).fetchall()
    return [
        Mutant(
            module=str(module),
            line=line,
            operator=operator.removeprefix("core/"),
            survived=outcome == "SURVIVED",
            before=_lines(diff or "", "-"),
            after=_lines(diff or "", "+"),
        )
        for module, line, operator, outcome, diff in rows
    ]


def figures(name: str, tried: Sequence[Mutant]) -> str:
    """One row of a table: how many changes, how many noticed, how many that cannot be noticed, how many are left."""
    killed = sum(not each.survived for each in tried)
    same = sum(each.same for each in tried)
    share = f"{100 * killed / len(tried):.1f} %" if tried else "nothing to change"
    return f"| {name} | {len(tried)} | {killed} | {share} | {same} | {len(tried) - killed - same} |"


def survivors(tried: Sequence[Mutant]) -> str:
    """The changes that a test could have noticed and none did, one in a line."""
    left = [each for each in tried if each.survived and not each.same]
    return "\n".join(f"{each.module}:{each.line} {each.operator}: {each.after}" for each in left)
