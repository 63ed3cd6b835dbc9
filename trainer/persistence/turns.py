"""Turns of those who write to an SQLite file: whoever waits is woken, instead of looking now and then.

SQLite's own waiting sleeps up to a tenth of a second between two looks, and whoever comes at the
right moment goes first. On busy processors five processes that wrote kept one of them out for 20
seconds, and once for longer than its patience. Here the kernel wakes those who wait, and the lock
goes with its process. It is a courtesy only: what keeps data whole is SQLite's own lock, taken as before.

*Source* sqlite.org, busy_timeout (the sleeping handler); flock(2): a lock belongs to one opening of a file,
which forked processes share until one of them unlocks it; over NFS it wants a file that is open to write.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # Another system: SQLite's own waiting has to do.
    fcntl = None  # type: ignore[assignment]

ENDING = "-turn"


class Turns:
    """Turns at one database file; the file beside it that they are taken at is made when it is needed."""

    def __init__(self, database: Path | None) -> None:
        """None for a database that lets its writers run side by side."""
        self._place = None if database is None or fcntl is None else database.with_name(database.name + ENDING)
        self._mine = threading.local()

    @contextmanager
    def taken(self) -> Iterator[None]:
        """A turn; whoever has one already goes on, and a folder in which nothing can be made has none."""
        handle = None if getattr(self._mine, "is_taken", False) else self._opened()
        if handle is None:
            yield
            return
        try:
            # A file system that knows no such locks must keep nobody from writing.
            with suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_EX)
            self._mine.is_taken = True
            yield
        finally:
            self._mine.is_taken = False
            with suppress(OSError):
                # Closing alone would leave it with a process that was forked meanwhile.
                fcntl.flock(handle, fcntl.LOCK_UN)
            os.close(handle)

    def _opened(self) -> int | None:
        if self._place is None:
            return None
        try:
            # Opened each time: a forked process would share what was opened before, and with it the turn.
            # To write, since over NFS only such a file can be locked.
            return os.open(self._place, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError:
            return None
