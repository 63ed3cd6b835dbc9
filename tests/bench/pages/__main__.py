"""``python -m tests.bench.pages --data FOLDER`` measures a database that ``trainer invent --learners`` filled.

Without a folder it makes a crowd of its own first; ``--postgresql`` puts it on a server of its own that waits for the
disk.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from tests import postgresql
from tests.bench.pages.measuring import Page, pages
from tests.bench.pages.people import ROLES, app_over, seats
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.schema import upgrade

_LIMIT_MS = 200


@click.command()
@click.option("--data", type=click.Path(file_okay=False, exists=True, path_type=Path), help="Folder of trainer invent.")
@click.option("--address", help="Address of the database, where it is not the file in the folder.")
@click.option("--learners", type=click.IntRange(48), default=10_000, show_default=True)
@click.option("--answers", type=click.IntRange(1), default=1_000_000, show_default=True)
@click.option("--postgresql", "on_postgresql", is_flag=True, help="On a PostgreSQL of its own that waits for the disk.")
@click.option("--times", type=click.IntRange(1, 100), default=5, show_default=True, help="How often each is opened.")
@click.option("--role", "roles", type=click.Choice(list(ROLES)), multiple=True, help="Only these roles.")
@click.option("--only", multiple=True, help="Only routes that begin so.")
@click.option("--top", type=click.IntRange(1), default=25, show_default=True, help="How many are listed.")
@click.option("--json", "file", type=click.Path(dir_okay=False, path_type=Path), help="All of them into this file.")
def main(
    data: Path | None, address: str | None, learners: int, answers: int, on_postgresql: bool, times: int,
    roles: Sequence[str], only: Sequence[str], top: int, file: Path | None,
) -> None:  # fmt: skip
    """Open every page of every role several times; exit code 1 where the middle time of one is over 200 ms."""
    with _crowd(data, address, learners, answers, on_postgresql) as (folder, where):
        database = Database(where)
        upgrade(database)
        app = app_over(database, folder)
        password = (folder / "demo-password").read_text("ascii").strip()
        found: list[Page] = []
        for role, seat in seats(app, database, password).items():
            if not roles or role in roles:
                found += pages(app, database, seat, times, tuple(only) or ("",))
                click.echo(f"{role}: {sum(each.role == role for each in found)} pages", err=True)
        database.close()
    found.sort(key=lambda each: (-each.median_ms, each.path))
    click.echo("  middle    first    worst  computed  statements  bytes  status role  route  address")
    for each in found[:top]:
        click.echo(_line(each))
    over = sum(each.median_ms > _LIMIT_MS for each in found)
    click.echo(f"{len(found)} pages, {over} over {_LIMIT_MS} ms, {_over_once(found)} at the first look")
    if file is not None:
        rows = [{name: getattr(each, name) for name in Page.__slots__} for each in found]
        file.write_text(json.dumps(rows, indent=1), encoding="utf-8")
    sys.exit(1 if over else 0)


def _over_once(found: Sequence[Page]) -> int:
    return sum(each.first_ms > _LIMIT_MS for each in found)


def _line(each: Page) -> str:
    times = f"{each.median_ms:8.1f} {each.first_ms:8.1f} {each.worst_ms:8.1f} {each.cpu_ms:8.1f}"
    return (
        f"{times}  {each.statements:4} {each.size:9}  {each.status} {each.role:18} {each.endpoint:28} {each.path[:60]}"
    )


@contextmanager
def _crowd(
    data: Path | None, address: str | None, learners: int, answers: int, on_postgresql: bool
) -> Iterator[tuple[Path, str]]:
    if data is not None:
        yield data, address or sqlite_url(data / "trainer.sqlite3")
        return
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        if on_postgresql:
            with postgresql.server(durable=True) as server:
                yield folder, _invented(folder, server.address_of(server.fresh()), learners, answers)
        else:
            yield folder, _invented(folder, sqlite_url(folder / "trainer.sqlite3"), learners, answers)


def _invented(folder: Path, address: str, learners: int, answers: int) -> str:
    command = [sys.executable, "-m", "trainer", "invent", "--data", str(folder)]
    command += ["--learners", str(learners), "--answers", str(answers)]
    subprocess.run(command, check=True, env={**os.environ, "TRAINER_DATABASE_URL": address})
    return address


if __name__ == "__main__":
    main()
