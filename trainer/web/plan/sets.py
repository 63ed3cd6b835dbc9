"""The set of tasks that this browser goes through: kept in its signed session, small and without answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from flask import session

from trainer.services.plan.mixing import LENGTHS, mixed

_KEY = "set"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningSet:
    """A set: its objective, kind and level, its length, the seed of its order, and how many were begun."""

    objective: str
    kind: str
    level: int
    length: int
    seed: int
    begun: int = 0
    families: tuple[str, ...] = ()

    @property
    def order(self) -> tuple[str, ...]:
        """The objective of each task."""
        return mixed(self.objective, self.length, self.seed)

    @property
    def is_over(self) -> bool:
        """True when all of its tasks were begun."""
        return self.begun >= self.length

    @property
    def following(self) -> str:
        """The objective of the next task."""
        return self.order[self.begun]


def running_set() -> RunningSet | None:
    """The set of this browser, or None; whatever does not read as one is none."""
    stored = session.get(_KEY)
    if not isinstance(stored, Mapping):
        return None
    try:
        found = RunningSet(**{**stored, "families": tuple(stored.get("families", ()))})
    except TypeError:
        return None
    return found if found.length in LENGTHS else None


def keep(running: RunningSet) -> None:
    """Remembers the set."""
    values: dict[str, Any] = asdict(running)
    session[_KEY] = {**values, "families": list(running.families)}
    session.permanent = True


def one_more(running: RunningSet, family: str) -> RunningSet:
    """The set with one more task begun; the last families are remembered, so that they do not come again at once."""
    used = (*running.families, family) if family else running.families
    return replace(running, begun=running.begun + 1, families=used[-3:])


def leave() -> None:
    """Forgets the set."""
    session.pop(_KEY, None)
