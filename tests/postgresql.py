"""A real PostgreSQL server for the tests, started by them and gone with them.

Debian's package brings the server; it refuses to run as root, so root starts it as ``postgres``.
It listens on a socket in a folder of its own and on no network.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from tests.patience import PATIENCE_S

PACKAGE = "postgresql"
_PLACES = "/usr/lib/postgresql"
_USER = "postgres"
# A new database is some six hundred files: twenty times as fast in memory as on a busy disk.
_MEMORY = "/dev/shm"
# By itself pg_ctl waits for a minute.
_WAITS = ("-w", "-t", f"{PATIENCE_S:.0f}")


def programs() -> Path | None:
    """The folder with the newest server's programs, or None where there is none."""
    found = sorted(Path(_PLACES).glob("*/bin/initdb"), key=lambda path: int(path.parent.parent.name.split(".")[0]))
    return found[-1].parent if found else None


@dataclass
class Server:
    """A running server: addresses of fresh databases on it."""

    folder: Path
    numbers: Iterator[int] = field(default_factory=count)

    def address_of(self, name: str) -> str:
        """The address of a database by its name."""
        return f"postgresql://{_USER}@/{name}?host={self.folder}"

    def fresh(self, template: str = "template0") -> str:
        """The name of a new database, a copy of another that nobody is using."""
        name = f"t{next(self.numbers)}"
        self.run(f'CREATE DATABASE "{name}" TEMPLATE "{template}" STRATEGY file_copy')
        return name

    def drop(self, name: str) -> None:
        """Remove a database, whoever is connected to it."""
        self.run(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')

    def run(self, statement: str) -> None:
        """One statement on the server."""
        import psycopg

        with psycopg.connect(host=str(self.folder), user=_USER, dbname="postgres", autocommit=True) as connection:
            connection.execute(statement.encode())


@contextmanager
def server(*, durable: bool = False) -> Iterator[Server]:
    """A server in a new folder; ``durable`` waits for the disk as in production. *Raises* RuntimeError with its log."""
    place = programs()
    if place is None:
        raise RuntimeError(f"no PostgreSQL server here: apt install {PACKAGE}")
    in_memory = None if durable or not os.access(_MEMORY, os.W_OK) else _MEMORY
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir=in_memory))
    as_user = ["runuser", "-u", _USER, "--"] if os.geteuid() == 0 else []
    if as_user:
        known = pwd.getpwnam(_USER)
        os.chown(folder, known.pw_uid, known.pw_gid)
    data, log = folder / "data", folder / "log"
    waits = "on" if durable else "off"
    settings = f"-c listen_addresses='' -c unix_socket_directories={folder} -c max_connections=120 -c fsync={waits}"
    try:
        _run(*as_user, str(place / "initdb"), "-D", str(data), "-U", _USER, "-A", "trust", "-E", "UTF8", "--locale=C")
        _run(*as_user, str(place / "pg_ctl"), "-D", str(data), "-l", str(log), "-o", settings, *_WAITS, "start")
        yield Server(folder)
    finally:
        subprocess.run(
            [*as_user, str(place / "pg_ctl"), "-D", str(data), "-m", "immediate", *_WAITS, "stop"],
            check=False,
            capture_output=True,
            cwd="/",
        )
        shutil.rmtree(folder, ignore_errors=True)


def _run(*command: str) -> None:
    done = subprocess.run(command, check=False, capture_output=True, text=True, cwd="/")
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)}\n{done.stdout}{done.stderr}")
