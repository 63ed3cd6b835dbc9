"""The glossary: what the words of findings and pages mean."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from trainer.resources import folder

_FILE = "rulebook/glossary.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One term with its meaning. ``said`` are the ways a text may put it."""

    id: str
    term: str
    meaning: str
    said: tuple[str, ...]


@cache
def glossary() -> tuple[Term, ...]:
    """All terms in the order of the file."""
    data = tomllib.loads((folder("scenarios") / _FILE).read_text("utf-8"))
    return tuple(
        Term(id=each["id"], term=each["term"], meaning=each["meaning"], said=tuple(each.get("said", ())))
        for each in data["term"]
    )
