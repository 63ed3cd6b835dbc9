"""Sends requests when they are due, whatever the server does: no answer is waited for before the next one goes out.

The time of an answer counts from when its request was due, not from when it could be sent. One
thread and one selector, so that the sender takes as little as it can from the machine it measures.
"""

from __future__ import annotations

import errno
import heapq
import selectors
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass, field

_LONGEST_WAIT_S = 60.0
_AT_ONCE = 64 * 1024
_UNDER_WAY = {0, errno.EINPROGRESS, errno.EAGAIN}


@dataclass(slots=True)
class Answer:
    """What came back: status 0 with the reason where nothing did."""

    status: int
    text: str
    head: str
    ms: float
    late_ms: float


@dataclass(slots=True, order=True)
class Due:
    """A request at a moment of the run, in seconds; made only when it is sent, since it may count saves."""

    at_s: float
    number: int
    request: Callable[[], bytes] = field(compare=False)
    told: Callable[[Answer], None] = field(compare=False)


@dataclass(slots=True)
class _Open:
    due: Due
    left: bytes
    started: float
    late_ms: float
    got: list[bytes] = field(default_factory=list)


class Sender:
    """Requests to one port of this machine."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._due: list[Due] = []
        self._calls: list[tuple[float, int, Callable[[], None]]] = []
        self._number = 0
        self._open: dict[socket.socket, _Open] = {}
        self._watch = selectors.DefaultSelector()
        self._start = 0.0

    def add(self, at_s: float, request: Callable[[], bytes], told: Callable[[Answer], None]) -> None:
        """One more request; an answer may add the next one while the run goes on."""
        self._number += 1
        heapq.heappush(self._due, Due(at_s, self._number, request, told))

    def call(self, at_s: float, what: Callable[[], None]) -> None:
        """Something quick that is done at a moment of the run, unless the run is over by then."""
        self._number += 1
        heapq.heappush(self._calls, (at_s, self._number, what))

    def now_s(self) -> float:
        """Where the run is."""
        return time.perf_counter() - self._start

    def run(self) -> None:
        """Sends all and waits for every answer."""
        self._start = time.perf_counter() + 0.5
        while self._due or self._open:
            while self._calls and self._calls[0][0] <= self.now_s():
                heapq.heappop(self._calls)[2]()
            while self._due and self._due[0].at_s <= self.now_s():
                self._send(heapq.heappop(self._due))
            wait_s = min(0.5, max(0.0, self._due[0].at_s - self.now_s())) if self._due else 0.5
            for key, events in self._watch.select(wait_s):
                self._go_on(key.fileobj, events)  # type: ignore[arg-type]  # only sockets are watched
            self._give_up()

    def _send(self, due: Due) -> None:
        late_ms = 1000 * (self.now_s() - due.at_s)
        one = socket.socket()
        one.setblocking(False)
        code = one.connect_ex(("127.0.0.1", self._port))
        entry = _Open(due, due.request(), time.perf_counter(), late_ms)
        if code not in _UNDER_WAY:
            one.close()
            self._tell(entry, 0, errno.errorcode.get(code, str(code)))
            return
        self._open[one] = entry
        self._watch.register(one, selectors.EVENT_WRITE)

    def _go_on(self, one: socket.socket, events: int) -> None:
        entry = self._open[one]
        try:
            if events & selectors.EVENT_WRITE:
                entry.left = entry.left[one.send(entry.left) :]
                if not entry.left:
                    self._watch.modify(one, selectors.EVENT_READ)
                return
            part = one.recv(_AT_ONCE)
        except OSError as error:
            self._end(one, 0, type(error).__name__)
            return
        if part:
            entry.got.append(part)
            return
        whole = b"".join(entry.got)
        try:
            self._end(one, int(whole.split(b" ", 2)[1]), "")
        except (ValueError, IndexError):
            self._end(one, 0, "no answer")

    def _give_up(self) -> None:
        before = time.perf_counter() - _LONGEST_WAIT_S
        for one in [each for each, entry in self._open.items() if entry.started < before]:
            self._end(one, 0, "no answer in time")

    def _end(self, one: socket.socket, status: int, why: str) -> None:
        self._watch.unregister(one)
        one.close()
        self._tell(self._open.pop(one), status, why)

    def _tell(self, entry: _Open, status: int, why: str) -> None:
        head, _, text = b"".join(entry.got).partition(b"\r\n\r\n")
        ms = 1000 * (self.now_s() - entry.due.at_s)
        entry.due.told(
            Answer(status, why or text.decode("utf-8", "replace"), head.decode("latin-1"), ms, entry.late_ms)
        )


def request_bytes(method: str, path: str, headers: dict[str, str], body: str = "") -> bytes:
    """A request that closes its connection, as a proxy in front sends it."""
    lines = [f"{method} {path} HTTP/1.1", "Host: 127.0.0.1", "Connection: close"]
    lines += [f"{name}: {value}" for name, value in headers.items()]
    lines += [f"Content-Length: {len(body)}"] if body else []
    return ("\r\n".join(lines) + "\r\n\r\n" + body).encode()
