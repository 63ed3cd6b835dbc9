"""``trainer db``: the database brought up to date, backed up, restored, checked, moved."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from trainer.cli.output import JSON, format_option, print_json
from trainer.cli.serving import data_option
from trainer.config import settings_from
from trainer.persistence.database import Database
from trainer.persistence.keeping.backup import back_up
from trainer.persistence.keeping.backup import restore as restored
from trainer.persistence.keeping.checking import Finding, checked
from trainer.persistence.keeping.moving import move as moved
from trainer.persistence.schema import upgrade as upgraded
from trainer.persistence.schema import version

_NOT_WHOLE = 1
_Progress = Callable[[int, int], None]


@click.group()
def db() -> None:
    """Bring the database up to date, back it up, restore, check or move it."""


@contextmanager
def _database(data: Path | None) -> Iterator[Database]:
    database = Database(settings_from(os.environ, data_folder=data).database_url)
    try:
        yield database
    finally:
        database.close()


@db.command()
@data_option
def upgrade(data: Path | None) -> None:
    """Bring the tables up to the version that this program needs.

    trainer serve does the same at its start; by itself it is for a database whose next start
    must be quick.
    """
    with _database(data) as database:
        before = version(database)
        upgraded(database)
        after = version(database)
    click.echo(f"Tables of version {after}" + ("; nothing to do" if before == after else f", before: {before}"))


@db.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@data_option
def backup(file: Path, data: Path | None) -> None:
    """Copy the whole database into FILE, of one moment, while the program serves.

    The secret key and mail that waits in the data folder are not in it. FILE is complete or not
    there, and must be new.
    """
    with _database(data) as database, _bar("Copying") as bar:
        back_up(database, file, bar)
    click.echo(f"{file}: {file.stat().st_size} bytes")


@db.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@data_option
def restore(file: Path, data: Path | None) -> None:
    """Fill an empty database from FILE, and check it; exit code 1 tells that something is wrong."""
    with _database(data) as database:
        with _bar("Copying") as bar:
            restored(database, file, bar)
        # The copy may be older than the program.
        upgraded(database)
        whole = _told(checked(database))
    sys.exit(0 if whole else _NOT_WHOLE)


@db.command()
@format_option
@data_option
def check(form: str, data: Path | None) -> None:
    """Read everything: files, references, hashes of tasks, packed contents, the audit chain.

    Exit code 1 tells that something is wrong. It reads the whole database; people can go on.
    """
    with _database(data) as database:
        if form == JSON:
            findings = list(checked(database))
            whole = not any(each.problems for each in findings)
            print_json({"whole": whole, "checks": [_json(each) for each in findings]})
        else:
            whole = _told(checked(database))
    sys.exit(0 if whole else _NOT_WHOLE)


@db.command()
@click.argument("address")
@format_option
@data_option
def move(address: str, form: str, data: Path | None) -> None:
    """Copy everything into the empty database at ADDRESS and compare every table.

    Stop the program first, and start it with TRAINER_DATABASE_URL set to ADDRESS afterwards. What
    was moved stays where it was. A difference undoes the move; there is no move by halves.
    """
    with _database(data) as source, _closing(Database(address)) as target:
        rows = moved(source, target, _row_of_table)
    click.echo(err=True)
    if form == JSON:
        print_json({"tables": [{"table": each.table, "rows": each.rows, "hash": each.hash} for each in rows]})
        return
    for each in rows:
        click.echo(f"{each.table:24} {each.rows:9} rows  {each.hash[:16]}  the same there")


@contextmanager
def _closing(database: Database) -> Iterator[Database]:
    try:
        yield database
    finally:
        database.close()


@contextmanager
def _bar(label: str) -> Iterator[_Progress]:
    with click.progressbar(length=1, label=label, file=sys.stderr) as bar:

        def progress(done: int, length: int) -> None:
            bar.length = length
            bar.update(done - bar.pos)

        yield progress
        bar.update((bar.length or 1) - bar.pos)


def _told(findings: Iterable[Finding]) -> bool:
    whole = True
    for each in findings:
        whole = whole and not each.problems
        click.echo(f"{each.check:22} {each.looked_at:9}  {'wrong' if each.problems else 'right'}")
        for problem in each.problems:
            click.echo(f"  {problem}")
    return whole


def _json(finding: Finding) -> dict[str, object]:
    return {"check": finding.check, "looked_at": finding.looked_at, "problems": list(finding.problems)}


def _row_of_table(table: str, rows: int) -> None:
    click.echo("." if rows else f"\n{table} ", nl=False, err=True)
