"""Copies of the whole database in one file, made while the program serves, and back from such a file."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database
from trainer.persistence.keeping.bulk import take_figures
from trainer.persistence.keeping.emptiness import file_of, refuse_unless_empty

_SQLITE_START = b"SQLite format 3\0"
_POSTGRESQL_START = b"PGDMP"
# Copied between two looks at the progress: 8 MiB at the usual page size.
_PAGES_AT_ONCE = 2048
_CLIENT_PACKAGE = "postgresql-client"

Progress = Callable[[int, int], None]


class BackupError(TrainerError):
    """A copy that could not be made or cannot be used."""


def no_progress(_done: int, _all: int) -> None:
    """Tells nobody."""


def back_up(database: Database, file: Path, progress: Progress = no_progress) -> None:
    """A copy of one moment, in a file that is complete or not there; writers go on meanwhile.

    Source: sqlite.org/backup.html; postgresql.org, pg_dump ("consistent backups even if the
    database is being used concurrently").

    Raises: BackupError.
    """
    if file.exists():
        raise BackupError(Problem(path=str(file), problem="is there already; name a new file, nothing was changed"))
    with _complete_or_not_there(file) as draft:
        if database.kind == "sqlite":
            _copy(_existing(database), draft, progress)
        else:
            _dump(database.address, draft)


def restore(database: Database, file: Path, progress: Progress = no_progress) -> None:
    """Fills an empty database from a copy of the same kind of database.

    Raises: BackupError, NotEmptyError.
    """
    kind = kind_of(file)
    if kind != database.kind:
        problem = f"holds a copy of a {kind} database and cannot go into {database.kind}: restore it into {kind}"
        raise BackupError(Problem(path=str(file), problem=f"{problem}, then use: trainer db move"))
    refuse_unless_empty(database)
    if kind == "postgresql":
        _fill(database.address, file)
    else:
        _place(database, file, progress)
    # A dump holds no figures of its tables (postgresql.org, pg_dump, Notes). What is damaged is for the check to tell.
    with suppress(DBAPIError), database.writing() as session:
        take_figures(session.connection())


def _place(database: Database, file: Path, progress: Progress) -> None:
    database.close()
    target = file_of(database)
    for ending in ("", "-wal", "-shm"):
        target.with_name(target.name + ending).unlink(missing_ok=True)
    with _complete_or_not_there(target) as draft:
        _copy(file, draft, progress)


def kind_of(file: Path) -> str:
    """The kind of database that a copy was made of. *Raises* BackupError."""
    try:
        with file.open("rb") as opened:
            start = opened.read(len(_SQLITE_START))
    except OSError as error:
        raise BackupError(Problem(path=str(file), problem=f"cannot be read: {error.strerror}")) from error
    if start == _SQLITE_START:
        return "sqlite"
    if start.startswith(_POSTGRESQL_START):
        return "postgresql"
    raise BackupError(Problem(path=str(file), problem="is no copy that trainer db backup made"))


@contextmanager
def _complete_or_not_there(file: Path) -> Iterator[Path]:
    """A draft beside the file, readable by the owner only, that takes its name once it is on the disk."""
    try:
        folder = Path(tempfile.mkdtemp(dir=file.parent, prefix=f".{file.name}-"))
    except OSError as error:
        raise BackupError(Problem(path=str(file), problem=f"cannot be written: {error.strerror}")) from error
    try:
        draft = folder / "draft"
        yield draft
        draft.chmod(0o600)
        _flush(draft)
        os.link(draft, file)
        _flush(file.parent)
    except (OSError, sqlite3.Error) as error:
        problem = f"the copy failed: {error}; nothing was left behind"
        raise BackupError(Problem(path=str(file), problem=problem)) from error
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _flush(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _existing(database: Database) -> Path:
    file = file_of(database)
    if not file.exists():
        raise BackupError(Problem(path=str(file), problem="there is no database here to copy"))
    return file


def _copy(source: Path, target: Path, progress: Progress) -> None:
    def copied(_status: int, remaining: int, pages: int) -> None:
        progress(pages - remaining, pages)

    with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as opened:
        # Held open, so that what is written meanwhile does not make the copy begin anew.
        opened.execute("BEGIN").execute("SELECT count(*) FROM sqlite_master").fetchone()
        with closing(sqlite3.connect(target)) as copy:
            opened.backup(copy, pages=_PAGES_AT_ONCE, progress=copied, sleep=0)
            # The copy is one file, without a log beside it.
            copy.execute("PRAGMA journal_mode=DELETE")


def _dump(address: URL, file: Path) -> None:
    # What is large is packed already: the usual level takes three times as long and gains a fortieth.
    options = ("--format=custom", "--compress=1", "--no-owner", "--no-privileges", f"--file={file}")
    _run("pg_dump", address, *options)


def _fill(address: URL, file: Path) -> None:
    options = ("--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges")
    _run("pg_restore", address, *options, str(file))


def _run(name: str, address: URL, *options: str) -> None:
    program = shutil.which(name)
    if program is None:
        problem = f"is not installed on this machine: apt install {_CLIENT_PACKAGE}, not older than the server"
        raise BackupError(Problem(path=name, problem=problem))
    # The password goes by the environment: the command line is open to every user of the machine.
    bare = address.set(drivername="postgresql")._replace(password=None)
    environment = {**os.environ, **({"PGPASSWORD": str(address.password)} if address.password else {})}
    command = [program, f"--dbname={bare.render_as_string()}", "--no-password", *options]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)  # noqa: S603
    if done.returncode:
        said = " ".join(done.stderr.split()) or f"exit code {done.returncode}"
        raise BackupError(Problem(path=name, problem=said))
