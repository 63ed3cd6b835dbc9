"""``python -m tests.bench.load --sitters 100 --seconds 30 --postgresql``."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import click

from tests import postgresql
from tests.bench.load import saves, servers, sitters
from trainer.config import sqlite_url


@click.command()
@click.option("--sitters", "number", type=click.IntRange(1, 5000), default=100, show_default=True)
@click.option("--seconds", type=click.IntRange(5, 600), default=30, show_default=True)
@click.option("--workers", type=click.IntRange(1, 64), default=2, show_default=True)
@click.option("--postgresql", "on_postgresql", is_flag=True, help="On a PostgreSQL of its own that waits for the disk.")
def main(number: int, seconds: int, workers: int, on_postgresql: bool) -> None:
    """Let people sit a paper: each saves every ten seconds and opens a page every minute."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        if on_postgresql:
            with postgresql.server(durable=True) as server:
                _run(server.address_of(server.fresh()), folder, number, seconds, workers)
        else:
            _run(sqlite_url(folder / "trainer.sqlite3"), folder, number, seconds, workers)


def _run(address: str, folder: Path, number: int, seconds: int, workers: int) -> None:
    names = sitters.college(address, number)
    with servers.program(address, folder, workers) as (_, port):
        seated = sitters.seated(names, port)
        _machine(folder)
        click.echo(saves.paced(seated, seconds=seconds).text())
        _machine(folder)
        click.echo(f"acknowledged and lost: {sitters.lost(address, seated)}")


def _machine(folder: Path) -> None:
    click.echo(f"load {os.getloadavg()[0]:.1f}, fdatasync {servers.fdatasync_ms(folder):.1f} ms")


if __name__ == "__main__":
    main()
