"""Values that were worked out a moment ago: only such as never change, so that losing them costs nothing but time."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

V = TypeVar("V")


class Latest(Generic[V]):
    """The values that were asked for last, by a name that always means the same value."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[str, V] = OrderedDict()
        self._lock = Lock()

    def of(self, name: str, make: Callable[[], V]) -> V:
        """The value, made if it is not known; two that make it at once make the same."""
        with self._lock:
            if name in self._kept:
                self._kept.move_to_end(name)
                return self._kept[name]
        made = make()
        self.keep(name, made)
        return made

    def keep(self, name: str, value: V) -> None:
        """Keep a value that is in hand already."""
        with self._lock:
            self._kept[name] = value
            self._kept.move_to_end(name)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
