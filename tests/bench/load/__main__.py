"""``python -m tests.bench.load``, also with ``--postgresql``: by default what a college's machine has to bear.

Three thousand people sit, each saves every ten seconds and opens a page every minute, three hundred
others sign in at one moment, and all hand in within two minutes.
"""

from __future__ import annotations

import os
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import click

from tests import postgresql
from tests.bench.load import crowd, machine, saves, servers
from trainer.config import sqlite_url


@click.command()
@click.option("--sitters", "number", type=click.IntRange(1, 5000), default=3000, show_default=True)
@click.option("--seconds", type=click.IntRange(5, 600), default=60, show_default=True, help="While all sit.")
@click.option(
    "--hand-in",
    "hand_in_s",
    type=click.IntRange(0, 600),
    default=120,
    show_default=True,
    help="Then all end in so many seconds; 0 for no end.",
)
@click.option("--save-every", "save_s", type=click.FloatRange(0.5, 600), default=10, show_default=True)
@click.option("--page-every", "page_s", type=click.FloatRange(1, 600), default=60, show_default=True)
@click.option(
    "--sign-ins", type=click.IntRange(0, 1000), default=300, show_default=True, help="At one moment while all sit."
)
@click.option("--variants", type=click.IntRange(1, 500), default=24, show_default=True, help="Different papers.")
@click.option("--workers", type=click.IntRange(0, 64), default=0, help="By default those of `trainer serve`.")
@click.option("--postgresql", "on_postgresql", is_flag=True, help="On a PostgreSQL of its own that waits for the disk.")
def main(
    number: int,
    seconds: int,
    hand_in_s: int,
    save_s: float,
    page_s: float,
    sign_ins: int,
    variants: int,
    workers: int,
    on_postgresql: bool,
) -> None:
    """Let people sit a paper at a steady pace, sign others in meanwhile, and let all hand in."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        run = _Run(folder, number, variants, workers)
        pace = saves.Pace(seconds=seconds, hand_in_s=hand_in_s, save_every_s=save_s, page_every_s=page_s)
        if on_postgresql:
            with postgresql.server(durable=True) as server:
                first = int((server.folder / "data" / "postmaster.pid").read_text().split()[0])
                run.on(server.address_of(server.fresh()), pace, sign_ins, {"database": first})
        else:
            run.on(sqlite_url(folder / "trainer.sqlite3"), pace, sign_ins, {})


class _Run:
    def __init__(self, folder: Path, people: int, variants: int, workers: int) -> None:
        self._folder, self._people, self._variants, self._workers = folder, people, variants, workers

    def on(self, address: str, pace: saves.Pace, sign_ins: int, database: dict[str, int]) -> None:
        seats = crowd.seated(address, self._folder, self._people, min(self._variants, self._people))
        callers = crowd.callers(address, self._folder, sign_ins)
        with servers.program(address, self._folder, self._workers) as (first, port):
            click.echo(
                f"{len(seats)} people at {self._variants} variants, each saves every {pace.save_every_s:g} s and opens "
                f"a page every {pace.page_every_s:g} s; {pace.seconds:g} s while all sit, {sign_ins} others sign in at "
                f"once, then all hand in within {pace.hand_in_s:g} s; load {os.getloadavg()[0]:.1f} before"
            )
            with machine.watched(self._folder, {"sender": os.getpid(), machine.SERVERS: first, **database}) as watch:
                told = saves.crowded(seats, port, replace(pace, sign_ins=callers), watch.phase)
            click.echo(told.text())
            click.echo(watch.text())
            click.echo(f"acknowledged and lost: {crowd.lost(address, seats) or 'none'}")
            if pace.hand_in_s:
                self._marking(address)

    def _marking(self, address: str) -> None:
        started = time.monotonic()
        handed_in, waiting = crowd.unmarked(address)
        click.echo(f"handed in {handed_in}, still to be marked {waiting}")
        while waiting and time.monotonic() - started < 120:
            time.sleep(1)
            handed_in, waiting = crowd.unmarked(address)
        click.echo(f"after {time.monotonic() - started:.0f} s still to be marked: {waiting}")


if __name__ == "__main__":
    main()
