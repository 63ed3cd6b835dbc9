"""``python -m tests.faults --kills 200 --postgresql``."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import click

from tests.faults.trial import trial


@click.command()
@click.option("--kills", type=click.IntRange(1, 5000), default=200, show_default=True)
@click.option("--postgresql", "on_postgresql", is_flag=True, help="On a PostgreSQL of its own, also killed.")
@click.option("--seed", type=int, default=8, show_default=True, help="Another order of the same harm.")
def main(kills: int, on_postgresql: bool, seed: int) -> None:
    """Kill processes, fill the disk and set the clock while people sit a paper; exit code 1 if anything was lost."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="faults-") as folder:
        # PostgreSQL's own user must reach what lies in it.
        Path(folder).chmod(0o755)
        outcome = trial("postgresql" if on_postgresql else "sqlite", kills, Path(folder), seed=seed, tell=_told)
    click.echo(f"{sum(outcome.done.values())} times in {time.monotonic() - began:.0f} s")
    click.echo(outcome.text())
    sys.exit(1 if outcome.wrong else 0)


def _told(line: str) -> None:
    click.echo(line, err=True)


if __name__ == "__main__":
    main()
