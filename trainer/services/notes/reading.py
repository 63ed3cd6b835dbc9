"""The note of each objective: what matters, why, the trap, and hints in the order of thinking."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from trainer.resources import folder

PLACE = "notes"
_FORMAT = "protection-trainer/notes"
_HEAD = frozenset({"format", "format_version", "language"})
_NEEDED = frozenset({"matters", "why", "trap", "trap_seen", "rules", "steps"})
_MORE = frozenset({"figure", "front_end"})


class NoteError(Exception):
    """A note that lacks a part or has one too many: a fault of the program's data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One note. ``trap`` is the id of a misconception; ``figure`` is empty, waveform or diagram."""

    objective_id: str
    matters: str
    why: str
    trap: str
    trap_seen: str
    rules: tuple[str, ...]
    steps: tuple[str, ...]
    figure: str = ""
    front_end: str = ""

    @property
    def texts(self) -> tuple[str, ...]:
        """Everything of it that is read."""
        return (self.matters, self.why, self.trap_seen, *self.steps)


@cache
def notes() -> Mapping[str, Note]:
    """All notes by objective id, in the order of the ids. *Raises* NoteError."""
    found: dict[str, Note] = {}
    for file in sorted((folder("scenarios") / PLACE).glob("*.toml")):
        data = tomllib.loads(file.read_text("utf-8"))
        if data.get("format") != _FORMAT:
            raise NoteError(f"{file.name}: format must be {_FORMAT}")
        for objective_id in data.keys() - _HEAD:
            if objective_id in found:
                raise NoteError(f"{file.name}: {objective_id} stands in two files")
            found[objective_id] = _note(objective_id, data[objective_id], f"{file.name}: {objective_id}")
    return MappingProxyType(dict(sorted(found.items())))


def _note(objective_id: str, entry: Mapping[str, Any], where: str) -> Note:
    surplus, missing = entry.keys() - _NEEDED - _MORE, _NEEDED - entry.keys()
    if surplus or missing:
        raise NoteError(f"{where}: too many {sorted(surplus)}, missing {sorted(missing)}")
    return Note(
        objective_id=objective_id,
        matters=entry["matters"],
        why=entry["why"],
        trap=entry["trap"],
        trap_seen=entry["trap_seen"],
        rules=tuple(entry["rules"]),
        steps=tuple(entry["steps"]),
        figure=entry.get("figure", ""),
        front_end=entry.get("front_end", ""),
    )
