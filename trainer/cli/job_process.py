"""The job runner as a child of ``trainer demo`` and ``trainer serve``, and a keeper that starts it again.

As a program of its own this is the keeper: it loads nothing but this file, so that it costs little
and nothing can end it by accident.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

# A part of a job takes seconds; whatever is cut off is done again by the next runner.
_PATIENCE_S = 20
_LOOKS_EVERY_S = 0.5
_STARTS_AGAIN_AFTER_S = 1.0
_PAUSES_AT_MOST_S = 60.0


@contextmanager
def job_process(data: Path | None) -> Iterator[None]:
    """A runner, kept going in processes of its own for as long as the block lasts."""
    owner = os.getpid()
    place = [] if data is None else ["--data", str(data)]
    process = subprocess.Popen([sys.executable, "-m", __name__, str(owner), *place])  # noqa: S603 - our own command
    try:
        yield
    finally:
        # A forked worker leaves the block as well, and must not take the runner with it.
        if os.getpid() == owner:
            _end(process)


def stop_on_signals() -> threading.Event:
    """An event that is set when the process is told to end."""
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop.set())
    return stop


def left_alone(parent: int | None) -> bool:
    """True when the process that started this one is gone: another adopted it.

    The starter tells its number; whoever asks for it at the start may have been adopted before.
    """
    return parent is not None and os.getppid() != parent


def keep(parent: int, arguments: Sequence[str]) -> None:
    """Starts a runner, and again whenever it ends by accident, until told to stop or left alone."""
    stop, pause_s = stop_on_signals(), _STARTS_AGAIN_AFTER_S
    while not stop.is_set() and not left_alone(parent):
        command = [sys.executable, "-m", "trainer", "jobs", "run", "--with-parent", str(os.getpid()), *arguments]
        runner = subprocess.Popen(command)  # noqa: S603 - our own command
        started = time.monotonic()
        while runner.poll() is None and not stop.is_set() and not left_alone(parent):
            stop.wait(_LOOKS_EVERY_S)
        if runner.poll() is None:
            _end(runner)
            return
        # A runner that cannot even start is not started over and over without a pause.
        held = time.monotonic() - started > _PAUSES_AT_MOST_S
        pause_s = _STARTS_AGAIN_AFTER_S if held else min(2 * pause_s, _PAUSES_AT_MOST_S)
        stop.wait(pause_s)


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(_PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


if __name__ == "__main__":
    keep(int(sys.argv[1]), sys.argv[2:])
