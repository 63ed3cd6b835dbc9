"""The changes that can be made to a module, each with the source it leads to; by the operators of cosmic-ray."""

from __future__ import annotations

import difflib
import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import parso  # Before cosmic_ray: its operators cannot be loaded otherwise.
from cosmic_ray.ast import ast_nodes  # type: ignore[import-untyped]
from cosmic_ray.mutating import mutate_code  # type: ignore[import-untyped]
from cosmic_ray.plugins import get_operator, operator_names  # type: ignore[import-untyped]

# In these files | stands between types only, and those are not evaluated.
LEFT_OUT = "core/ReplaceBinaryOperator_BitOr_"
# How records and parameters are declared judges nothing: a house test asks for frozen records, and a star in a
# signature is no product.
DECLARES = re.compile(r"@dataclass\(|\*,$|.*\(\*(, |,$)|.*, \*, ")


class Change(NamedTuple):
    """One change: the rows it touches, and which occurrence of which operator it is."""

    module: str
    operator: str
    occurrence: int
    first_row: int
    last_row: int

    @property
    def key(self) -> str:
        """What tells it from the others of its module."""
        return f"{self.operator} {self.occurrence}"


def _operators() -> Iterator[str]:
    names = sorted(operator_names())
    if not names:
        raise RuntimeError("cosmic-ray knows no operators: .venv/bin/pip install -e '.[test,mutation]'")
    for name in names:
        if not name.startswith(LEFT_OUT) and not get_operator(name).arguments():
            yield name


def changes(module: str, source: str) -> list[Change]:
    """All changes of a module, in the order of the file."""
    nodes = list(ast_nodes(parso.parse(source)))  # type: ignore[no-untyped-call]
    found = []
    for name in _operators():
        operator = get_operator(name)()
        places = (place for node in nodes for place in operator.mutation_positions(node))
        found += [Change(module, name, n, start[0], end[0]) for n, (start, end) in enumerate(places)]
    rows = source.splitlines()
    found = [each for each in found if not DECLARES.match(rows[each.first_row - 1].strip())]
    return sorted(found, key=lambda each: (each.first_row, each.operator, each.occurrence))


def changed(source: str, change: Change) -> str:
    """The source with the change in it."""
    after = mutate_code(source, get_operator(change.operator)(), change.occurrence)
    if after is None:
        raise ValueError(f"{change.module}:{change.first_row}: {change.key} is not to be found")
    return str(after)


def differing(before: str, after: str) -> tuple[str, str]:
    """The lines that differ, as they were and as they are."""
    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0))[2:]
    old, new = (" ".join(line[1:].strip() for line in lines if line.startswith(sign)) for sign in "-+")
    return old, new


def mark(file: Path) -> str:
    """A short mark of what a file says, so that results of another text of it are not taken for its own."""
    return hashlib.sha256(file.read_bytes()).hexdigest()[:16]
