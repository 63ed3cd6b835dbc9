"""A line for those who sign in: checking a password takes as long as ten saves, so few workers at a time do it.

Three hundred people who sign in at one moment would keep every worker busy for seconds, and whoever
sits a paper would wait behind them. So a worker that meets a sign-in takes a turn, if one is free,
and serves the line until it is empty; all others put their sign-ins into the line, as open
connections, and go on with whatever comes next. Between two of the line, whoever serves it answers those
whom no other worker came to: workers are few, and each of them waits for a database most of the time.
They find a processor when they need one, since hashes are worked out with low priority
(``services/people/hashing.py``).

*Source* unix(7): a message can carry file descriptors (SCM_RIGHTS); fcntl(2): the lock of a process goes with it.
"""

from __future__ import annotations

import errno
import fcntl
import json
import os
import select
import socket
import tempfile
import time
from contextlib import suppress
from typing import Any

from gunicorn.workers.sync import SyncWorker

from trainer.cli.doors import ONE_AT_A_TIME, Doors

# What checks or makes a hash of a password. The line of a request comes first, so a glance at its bytes tells.
SLOW = (
    b"POST /sign-in ",
    b"POST /account/new",
    b"POST /account/password",
    b"POST /account/second-factor",
    b"POST /invitation/",
    b"POST /new-password/",
)
_GLANCE_BYTES = max(map(len, SLOW))
_LONGEST_ADDRESS_BYTES = 512
# As large as the system allows; a full line is no harm, the worker then serves by itself.
_ROOM_BYTES = 4 * 1024 * 1024
_LOOKS_EVERY_S = 1
_FIRST_WORD_S = 3
# So many others at most between two of the line.
_AT_THE_DOOR = 10
# The words of web/errors.py for a database that does not answer; nothing of the application can be asked here.
_ADVICE = (
    "Take what you just sent as not saved. What was saved before is kept. Go back in a moment, look what stands there, "
    "and send it again if it is missing."
)
_PAGE = f"""<!doctype html>
<html lang="en-GB"><meta charset="utf-8"><title>This was cut off</title><h1>This was cut off</h1><p>{_ADVICE}</p>
"""
_CUT_OFF = "\r\n".join(
    (
        "HTTP/1.1 503 Service Unavailable",
        "Connection: close",
        "Content-Type: text/html; charset=utf-8",
        f"Content-Length: {len(_PAGE)}",
        "Cache-Control: no-store",
        "Content-Security-Policy: default-src 'none'; frame-ancestors 'none'",
        "X-Content-Type-Options: nosniff",
        "Retry-After: 10",
        "",
        _PAGE,
    )
).encode("ascii")
_NOBODY = (errno.EAGAIN, errno.EWOULDBLOCK, errno.ECONNABORTED)


class Line:
    """Open connections in the order in which they came, shared by all processes forked after it was made."""

    def __init__(self, turns: int = 1) -> None:
        """Serves as many at a time as there are turns."""
        self._turns = range(turns)
        self._mine: int | None = None
        self._end, self._front = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._end.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _ROOM_BYTES)
        self._end.setblocking(False)
        self._front.setblocking(False)
        self._lock = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the program

    def close(self) -> None:
        """Ends it in this process."""
        for each in (self._end, self._front, self._lock):
            each.close()

    def take_turn(self) -> bool:
        """True when one was free; it ends with ``end_turn`` or with the process."""
        for turn in self._turns:
            try:
                fcntl.lockf(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, turn)
            except OSError:
                continue
            self._mine = turn
            return True
        return False

    def end_turn(self) -> None:
        """Lets another take it."""
        if self._mine is not None:
            fcntl.lockf(self._lock, fcntl.LOCK_UN, 1, self._mine)
            self._mine = None

    def put(self, connection: socket.socket, address: Any) -> bool:
        """Puts a connection at the end; False when the line is full. The caller closes its own side of it."""
        try:
            socket.send_fds(self._end, [json.dumps(address).encode()], [connection.fileno()])
        except OSError:
            return False
        return True

    def next(self) -> tuple[socket.socket, Any] | None:
        """The connection at the front, or None when nobody waits."""
        try:
            said, handles, _, _ = socket.recv_fds(self._front, _LONGEST_ADDRESS_BYTES, 1)
        except BlockingIOError:
            return None
        if not handles:
            return None
        connection = socket.socket(fileno=handles[0])
        connection.setblocking(True)
        os.set_inheritable(connection.fileno(), False)
        found = json.loads(said)
        return connection, tuple(found) if isinstance(found, list) else found


class LiningWorker(SyncWorker):
    """A worker that answers one request after the other, sign-ins by the line."""

    line: Line
    _looked_s = 0.0
    _serves = False
    _doors: Doors | None = None

    def handle(self, listener: Any, client: socket.socket, addr: Any) -> None:
        """Answers, or puts into the line what would keep this worker from others."""
        if not _is_slow(client):
            super().handle(listener, client, addr)
        elif not self._serves and self.line.take_turn():
            self._serve(listener, client, addr)
        elif self.line.put(client, addr):
            client.close()
            # Whoever had the turn may have looked just before.
            self._take_up(listener)
        else:
            super().handle(listener, client, addr)

    def handle_error(self, req: Any, client: socket.socket, addr: Any, exc: BaseException) -> None:
        """Answers for what failed; whoever is cut off by the end of the worker is told what became of it."""
        if not isinstance(exc, SystemExit):
            super().handle_error(req, client, addr, exc)
            return
        self.log.error("a request was cut off: its worker is ended, after too long or by who runs the site")
        with suppress(OSError):
            client.sendall(_CUT_OFF)

    def wait(self, timeout: int) -> Any:
        """Waits for a connection, but no longer than until the next look at the line."""
        longest_s = min(timeout, _LOOKS_EVERY_S)
        if not ONE_AT_A_TIME:
            return super().wait(longest_s)
        self.notify()
        if self._doors is None:
            self._doors = Doors(self.wait_fds)
        return self._doors.wait(longest_s)

    def notify(self) -> None:
        """The sign of life; now and then also a look at a line that lost whoever served it."""
        super().notify()
        if time.monotonic() - self._looked_s >= _LOOKS_EVERY_S and self.sockets:
            self._looked_s = time.monotonic()
            self._take_up(self.sockets[0])

    def _take_up(self, listener: Any) -> None:
        # A process is never refused its own lock, so whoever serves must not ask for another turn.
        while self.alive and not self._serves and self.line.take_turn():
            found = self.line.next()
            if found is None:
                self.line.end_turn()
                return
            self._serve(listener, *found)

    def _serve(self, listener: Any, client: socket.socket, addr: Any) -> None:
        """With the turn: this one and all that wait, between two of them whoever waits at the door."""
        found: tuple[socket.socket, Any] | None = (client, addr)
        self._serves = True
        try:
            while found is not None:
                super().handle(listener, *found)
                super().notify()
                self._see_to_the_door(listener)
                # A worker that is to end leaves the rest to another.
                found = self.line.next() if self.alive else None
        finally:
            self._serves = False
            self.line.end_turn()

    def _see_to_the_door(self, listener: Any) -> None:
        """Answers those that no other worker came to; not all of them, or the line would never get on."""
        for _ in range(_AT_THE_DOOR):
            if not self.alive:
                return
            try:
                self.accept(listener)
            except OSError as error:
                if error.errno in _NOBODY:
                    return
                raise
            super().notify()


def _is_slow(client: socket.socket) -> bool:
    try:
        return client.recv(_GLANCE_BYTES, socket.MSG_PEEK | socket.MSG_DONTWAIT).startswith(SLOW)
    except BlockingIOError:
        return _says_something(client) and _is_slow(client)
    except OSError:
        return False


def _says_something(client: socket.socket) -> bool:
    """False for a connection on which nothing came in seconds: it reads as ended then, and holds nobody up.

    Browsers open some before they need them; a worker that waits for the first word answers nobody else meanwhile.
    """
    waiting = select.poll()
    waiting.register(client, select.POLLIN)
    if waiting.poll(1000 * _FIRST_WORD_S):
        return True
    with suppress(OSError):
        client.shutdown(socket.SHUT_RD)
    return False
