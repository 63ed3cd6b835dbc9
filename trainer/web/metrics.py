"""Counts of answers by route, shared by all worker processes, in the text format of Prometheus.

Source: prometheus.io, Exposition formats, text-based format version 0.0.4.
"""

from __future__ import annotations

import mmap
import struct
import threading
from bisect import bisect_left
from collections.abc import Iterator, Sequence

import trainer

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"
# Upper bounds of the histogram; a page that is generated takes tens of milliseconds, a save a few.
BOUNDS_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
CLASSES = ("1xx", "2xx", "3xx", "4xx", "5xx")
OTHER = "none"

# More than there are workers alive at once: two in one slot could lose a count.
_SLOTS = 512
_NUMBER = struct.Struct("d")
_IN_A_ROUTE = len(CLASSES) + len(BOUNDS_S) + 2


class Counts:
    """Numbers in memory that forked processes share; each writes into a slot of its own and any can read all."""

    def __init__(self, routes: Sequence[str]) -> None:
        """Must be made before the workers are forked."""
        self._routes = {name: place for place, name in enumerate(sorted({*routes, OTHER}))}
        # In front stands one number that tells whether anything was counted in the slot.
        self._slot_bytes = (1 + len(self._routes) * _IN_A_ROUTE) * _NUMBER.size
        self._memory = mmap.mmap(-1, self._slot_bytes * _SLOTS)
        self._slot = 0
        # The demonstration answers in threads.
        self._lock = threading.Lock()

    def take_slot(self, number: int) -> None:
        """Counts from here on in a slot of this process; what a dead worker counted there stays."""
        self._slot = 1 + number % (_SLOTS - 1)

    def add(self, route: str, status: int, seconds: float) -> None:
        """One answer."""
        first = 1 + self._routes.get(route, self._routes[OTHER]) * _IN_A_ROUTE
        bucket = first + len(CLASSES) + bisect_left(BOUNDS_S, seconds)
        with self._lock:
            self._raise(0, 1)
            self._raise(first + min(max(status // 100, 1), 5) - 1, 1)
            self._raise(bucket, 1)
            self._raise(first + _IN_A_ROUTE - 1, seconds)

    def _raise(self, place: int, amount: float) -> None:
        at = self._slot * self._slot_bytes + place * _NUMBER.size
        (value,) = _NUMBER.unpack_from(self._memory, at)
        _NUMBER.pack_into(self._memory, at, value + amount)

    def _summed(self) -> list[float]:
        length = self._slot_bytes // _NUMBER.size
        totals = [0.0] * length
        for slot in range(_SLOTS):
            start = slot * self._slot_bytes
            if _NUMBER.unpack_from(self._memory, start)[0]:
                part = struct.unpack_from(f"{length}d", self._memory, start)
                totals = [a + b for a, b in zip(totals, part, strict=True)]
        return totals[1:]

    def text(self) -> str:
        """All counts of all workers; a route that was never asked for is left out."""
        totals = self._summed()
        rows = {
            name: totals[place * _IN_A_ROUTE : (place + 1) * _IN_A_ROUTE]
            for name, place in self._routes.items()
            if any(totals[place * _IN_A_ROUTE : (place + 1) * _IN_A_ROUTE])
        }
        return "\n".join((*_build(), *_requests(rows), *_durations(rows), ""))


def _build() -> Iterator[str]:
    yield "# HELP trainer_build_info The version that serves."
    yield "# TYPE trainer_build_info gauge"
    yield f'trainer_build_info{{version="{trainer.__version__}"}} 1'


def _requests(rows: dict[str, list[float]]) -> Iterator[str]:
    yield "# HELP trainer_requests_total Answers by route and class of status."
    yield "# TYPE trainer_requests_total counter"
    for route, numbers in rows.items():
        for status, number in zip(CLASSES, numbers, strict=False):
            if number:
                yield f'trainer_requests_total{{route="{route}",status="{status}"}} {number:.0f}'


def _durations(rows: dict[str, list[float]]) -> Iterator[str]:
    name = "trainer_request_duration_seconds"
    yield f"# HELP {name} Time from the request to the answer."
    yield f"# TYPE {name} histogram"
    for route, numbers in rows.items():
        buckets, total_s = numbers[len(CLASSES) : -1], numbers[-1]
        so_far = 0.0
        for bound, number in zip((*(str(each) for each in BOUNDS_S), "+Inf"), buckets, strict=True):
            so_far += number
            yield f'{name}_bucket{{route="{route}",le="{bound}"}} {so_far:.0f}'
        yield f'{name}_sum{{route="{route}"}} {total_s:.6f}'
        yield f'{name}_count{{route="{route}"}} {so_far:.0f}'
