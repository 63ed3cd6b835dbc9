"""What a runner sees to again and again beside its jobs: short, and harmless where several runners do it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

log = logging.getLogger("trainer.jobs")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chore:
    """Something to be done every so often."""

    name: str
    every: timedelta
    do: Callable[[], object]


class Rounds:
    """Does each chore when its time has come, by the clock that is handed in."""

    def __init__(self, chores: Sequence[Chore], now: Callable[[], datetime]) -> None:
        self._chores = chores
        self._now = now
        self._last: dict[str, datetime] = {}

    def go(self) -> None:
        """Does what is due; a chore that fails is logged and keeps nothing else from being done."""
        for each in self._chores:
            now, last = self._now(), self._last.get(each.name)
            # A clock that was set back must not put a chore off.
            if last is not None and timedelta() <= now - last < each.every:
                continue
            self._last[each.name] = now
            try:
                each.do()
            except Exception:
                log.exception("chore %s failed", each.name)
