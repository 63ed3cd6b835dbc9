"""``python -m tests.bench.load.ratios``: pages and saves beside a bare Flask application on the same server.

Everything is measured in turn, round after round, so that what else the machine does touches all of
it; a ratio is the middle one of all rounds. ``wrk`` sends over the loopback and takes its share of
the processors from all alike.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

import click

from tests import postgresql
from tests.bench.load import crowd, importing, scripts, servers
from trainer.config import sqlite_url

_SITTERS = 64


@click.command()
@click.option("--rounds", type=click.IntRange(1, 50), default=7, show_default=True)
@click.option("--seconds", type=click.IntRange(1, 30), default=2, show_default=True, help="For each in each round.")
@click.option("--level", type=click.IntRange(1, 5), default=2, show_default=True, help="Of the scenario page.")
@click.option("--workers", type=click.IntRange(1, 16), default=2, show_default=True)
@click.option("--postgresql", "on_postgresql", is_flag=True, help="On a PostgreSQL of its own that waits for the disk.")
def main(rounds: int, seconds: int, level: int, workers: int, on_postgresql: bool) -> None:
    """Print how many pages, saves and greetings the same server gives in the same time."""
    if shutil.which("wrk") is None:
        raise click.ClickException("wrk is not installed: apt-get install wrk")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        if on_postgresql:
            with postgresql.server(durable=True) as server:
                _compare(server.address_of(server.fresh()), folder, rounds, seconds, level, workers)
        else:
            _compare(sqlite_url(folder / "trainer.sqlite3"), folder, rounds, seconds, level, workers)
    for what, pages in (("the application", False), ("the application and all its pages", True)):
        times = [importing.ratio(pages=pages) for _ in range(rounds)]
        click.echo(f"import of {what}: {statistics.median(times):.2f} times the libraries it names")


def _compare(address: str, folder: Path, rounds: int, seconds: int, level: int, workers: int) -> None:
    seats = crowd.seated(address, folder, _SITTERS, variants=4)
    with servers.program(address, folder, workers) as (_, port):
        browser = scripts.Browser(port, level)
        stored = browser.stored_page()
        size = len(browser.page(stored))
        with servers.bare(workers, page_bytes=size) as bare:
            wrk = scripts.Wrk(folder, seconds)
            kinds: Mapping[str, Callable[[], scripts.Rate]] = {
                "hello": lambda: wrk.simple(bare, "/"),
                "plain page": lambda: wrk.simple(bare, "/filled"),
                "seen again": lambda: wrk.simple(port, stored),
                "seen first": lambda: wrk.first(port, browser.cookie, browser.csrf_token, level),
                "autosave": lambda: wrk.saves(port, seats),
            }
            click.echo(
                f"a scenario page of level {level}: {size} bytes; {servers.fdatasync_ms(folder):.2f} ms fdatasync"
            )
            found = [{name: measure() for name, measure in kinds.items()} for _ in range(rounds)]
    for name in kinds:
        rate = statistics.median(each[name].per_s for each in found)
        failed = sum(each[name].failed for each in found)
        shares = [
            f"{100 * statistics.median(each[name].per_s / each[other].per_s for each in found):5.1f} % of {other}"
            for other in ("hello", "plain page")
        ]
        click.echo(f"{name:11} {rate:7.0f} a second, {', '.join(shares)}, {failed} failed")


if __name__ == "__main__":
    main()
