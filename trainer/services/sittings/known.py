"""What was read of stored tasks, kept for a while: tasks never change, so losing or keeping it changes no answer."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock
from typing import Generic, TypeVar

from trainer.domain.tasks import Task
from trainer.services.sittings.records import Answerable

# A whole house is some hundred kB as objects, what it asks a few kB: a worker stays within some 20 MB.
_TASKS, _ANSWERABLE = 64, 2048
V = TypeVar("V")


class Latest(Generic[V]):
    """The values that were asked for last, by the hash of the content they were made of."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[str, V] = OrderedDict()
        self._lock = Lock()

    def of(self, content_hash: str, make: Callable[[], V]) -> V:
        """The value, made if it is not known; two that make it at once make the same."""
        with self._lock:
            if content_hash in self._kept:
                self._kept.move_to_end(content_hash)
                return self._kept[content_hash]
        made = make()
        with self._lock:
            self._kept[content_hash] = made
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Tasks, and what they ask."""

    tasks: Latest[Task] = field(default_factory=lambda: Latest(_TASKS))
    answerable: Latest[Answerable] = field(default_factory=lambda: Latest(_ANSWERABLE))
