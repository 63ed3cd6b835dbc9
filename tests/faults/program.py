"""``trainer serve`` with what keeps a service going: when it ends, what is left of it is ended and it starts again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.load import servers
from tests.faults.served import CLOCK
from tests.patience import PATIENCE_S
from tests.ports import free_port
from trainer.config import DATABASE_URL

_RESTARTS_AFTER_S = 0.3


@dataclass
class Program:
    """The running program; its restarts are counted."""

    address: str
    folder: Path
    port: int
    workers: int = 2
    restarts: int = -1
    process: subprocess.Popen[bytes] | None = None
    _over: threading.Event = field(default_factory=threading.Event)

    def master(self) -> int | None:
        """Its first process, or None while it is started again."""
        return self.process.pid if self.process and self.process.poll() is None else None

    def parts(self) -> list[int]:
        """Its worker processes."""
        master = self.master()
        return servers.workers_of(master) if master else []

    def helpers(self) -> list[int]:
        """The keeper of the job runner and the runner."""
        master = self.master()
        return [number for number in _group(master) if number not in {master, *self.parts()}] if master else []

    def set_clock(self, seconds: int) -> None:
        """Shows the program a time that many seconds off."""
        draft = self._clock.with_suffix(".new")
        draft.write_text(str(seconds), "utf-8")
        draft.rename(self._clock)

    def keep(self) -> None:
        """Starts the program, and again when it ends, until told that it is over."""
        while not self._over.is_set():
            with (self.folder / "log").open("ab") as log:
                self.process = subprocess.Popen(
                    self._command(), env=self._environment, stdout=log, stderr=log, start_new_session=True
                )
            self.restarts += 1
            if self._over.is_set():
                # Told so while it was being started: the end of the one before was meant for this one.
                self.process.terminate()
            self.process.wait()
            # As systemd does with all that a service leaves behind (KillMode=mixed).
            _end_group(self.process.pid)
            self._over.wait(_RESTARTS_AFTER_S)

    def end(self) -> None:
        """Stops it for good."""
        self._over.set()
        if self.process:
            self.process.terminate()

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Another command of the program over the same data."""
        command = [sys.executable, "-m", "trainer", *words, "--data", str(self.folder / "data")]
        return subprocess.run(command, check=False, capture_output=True, text=True, env=self._environment)

    @property
    def _environment(self) -> dict[str, str]:
        return {**os.environ, DATABASE_URL: self.address, CLOCK: str(self._clock)}

    @property
    def _clock(self) -> Path:
        return self.folder / "clock"

    def _command(self) -> list[str]:
        options = ["--port", str(self.port), "--workers", str(self.workers), "--no-log-requests"]
        return [sys.executable, "-m", "tests.faults.served", "serve", *options, "--data", str(self.folder / "data")]


@contextmanager
def kept(address: str, folder: Path) -> Iterator[Program]:
    """The program, kept going."""
    program = Program(address, folder, free_port())
    program.set_clock(0)
    keeper = threading.Thread(target=program.keep)
    keeper.start()
    try:
        yield program
    finally:
        program.end()
        # Whoever goes on before it has ended removes the folder below a program that writes.
        keeper.join(PATIENCE_S)
        if keeper.is_alive() and program.process:
            _end_group(program.process.pid)
            keeper.join()


def killed(number: int) -> None:
    """Ends one process; zero and below would name groups, or everything there is."""
    if number <= 1:
        raise ValueError(f"not the number of one process: {number}")
    with suppress(ProcessLookupError):
        os.kill(number, signal.SIGKILL)


def _group(leader: int) -> list[int]:
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        with suppress(OSError, IndexError, ValueError):
            if int((place / "stat").read_text().rpartition(")")[2].split()[2]) == leader:
                found.append(int(place.name))
    return found


def _end_group(leader: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(leader, signal.SIGKILL)
