"""``trainer sittings``: what the clock does to sittings, also while nobody looks."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.cli.output import JSON, format_option, print_json
from trainer.cli.serving import data_option, finishing_over, prepared


@click.group()
def sittings() -> None:
    """End sittings whose time is up, and mark what is not marked."""


@sittings.command()
@format_option
@data_option
def close(form: str, data: Path | None) -> None:
    """Hand in every sitting whose time is up, and mark everything that is handed in and unmarked.

    The program does the same when somebody looks at such a sitting. Safe to run at any time and as
    often as you like, also while the program serves; a timer that runs it each minute does no harm.
    """
    _, database = prepared(data)
    try:
        closed = finishing_over(database).close_due()
    finally:
        database.close()
    if form == JSON:
        print_json({"closed": closed})
    else:
        click.echo(f"Closed or marked: {closed}")
