"""A PostgreSQL of its own that can be killed in every part and is started again, as its service would."""

from __future__ import annotations

import os
import pwd
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from tests.faults.program import killed
from tests.patience import PATIENCE_S
from tests.postgresql import PACKAGE, programs

_USER = "postgres"
# Little log is kept, so that a small file system holds it.
_SETTINGS = (
    "-c listen_addresses= -c max_connections=60 -c min_wal_size=32MB -c max_wal_size=64MB -c wal_level=minimal "
    "-c max_wal_senders=0 -c restart_after_crash=on"
)


@dataclass
class Cluster:
    """The processes and files of one server."""

    folder: Path
    programs: Path

    @property
    def address(self) -> str:
        """The address of the database."""
        return f"postgresql://{_USER}@/trainer?host={self.folder}"

    def start(self) -> None:
        """Starts it, again and again until it is up: a server whose remains still end refuses at first."""
        deadline = time.monotonic() + PATIENCE_S
        while not self.is_up():
            self._control("start", "-W", "-l", str(self.folder / "log"), "-o", f"{_SETTINGS} -k {self.folder}")
            time.sleep(0.3)
            if time.monotonic() > deadline:
                raise RuntimeError(f"PostgreSQL does not start: {(self.folder / 'log').read_text()[-2000:]}")

    def is_up(self) -> bool:
        """True when it takes connections."""
        command = [str(self.programs / "pg_isready"), "-q", "-h", str(self.folder), "-U", _USER]
        return subprocess.run(command, check=False, capture_output=True).returncode == 0

    def postmaster(self) -> int | None:
        """The first process, or None where there is none."""
        with suppress(OSError, ValueError, IndexError):
            number = int((self.folder / "data/postmaster.pid").read_text().splitlines()[0])
            return number if Path(f"/proc/{number}").exists() else None
        return None

    def children(self, *, clients: bool) -> list[int]:
        """Processes that serve a connection, or those that work in the background."""
        first = self.postmaster()
        found = []
        for place in Path("/proc").glob("[0-9]*"):
            with suppress(OSError, IndexError, ValueError):
                parent = int((place / "stat").read_text().rpartition(")")[2].split()[1])
                title = (place / "cmdline").read_bytes().decode("utf-8", "replace")
                if parent == first and ("[local]" in title) == clients:
                    found.append(int(place.name))
        return found

    def stop(self) -> None:
        """Ends it at once."""
        self._control("stop", "-m", "immediate")

    def _control(self, *words: str) -> None:
        command = [*as_user(), str(self.programs / "pg_ctl"), "-D", str(self.folder / "data"), *words]
        subprocess.run(command, check=False, capture_output=True, cwd="/", timeout=PATIENCE_S)


def as_user() -> list[str]:
    """The server refuses to run as root."""
    return ["runuser", "-u", _USER, "--"] if os.geteuid() == 0 else []


@contextmanager
def cluster(folder: Path) -> Iterator[Cluster]:
    """A server in a folder that is there. *Raises* RuntimeError where there is none on this machine."""
    place = programs()
    if place is None:
        raise RuntimeError(f"no PostgreSQL server here: apt install {PACKAGE}")
    if as_user():
        known = pwd.getpwnam(_USER)
        os.chown(folder, known.pw_uid, known.pw_gid)
    made = Cluster(folder, place)
    first = [*as_user(), str(place / "initdb"), "-D", str(folder / "data"), "-U", _USER, "-A", "trust", "-E", "UTF8"]
    subprocess.run([*first, "--locale=C", "--wal-segsize=4"], check=True, capture_output=True, cwd="/")
    try:
        made.start()
        command = [str(place / "createdb"), "-h", str(folder), "-U", _USER, "-T", "template0", "trainer"]
        subprocess.run(command, check=True, capture_output=True, cwd="/")
        yield made
    finally:
        made.stop()
        first = made.postmaster()
        if first is not None:
            killed(first)
