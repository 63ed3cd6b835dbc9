"""``trainer programmes``: what a firm's refresher programmes want done every day."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.cli.output import JSON, format_option, print_json
from trainer.cli.serving import data_option, prepared, refreshers_over, reminding_over
from trainer.services.programmes.reminding import Reminded


@click.group()
def programmes() -> None:
    """Look after the refresher programmes of all firms."""


@programmes.command()
@click.option("--address", help="Address of the site for the link; by default TRAINER_ADDRESS, else this machine.")
@format_option
@data_option
def remind(address: str | None, form: str, data: Path | None) -> None:
    """Assign whoever is new in a role, and send reminders; once a day, where no job runner does it.

    Each stage (assigned, due soon, overdue) goes out once for each due day, however often this
    runs. Whoever has no mail address reads it on the pages. Records that were earned and not
    yet given are given, too.
    """
    settings, database = prepared(data)
    try:
        given = refreshers_over(database).settle_all()
        found = list(reminding_over(settings, database, address).run())
    finally:
        database.close()
    if form == JSON:
        print_json({"records_given": given, "programmes": [_json(each) for each in found]})
    else:
        click.echo("\n".join([*map(_text, found), f"{given} records given."]))
    if any(each.failed for each in found):
        raise SystemExit(1)


def _text(done: Reminded) -> str:
    said = f"{done.programme.title}: {done.sent} sent, {done.without_address} on pages only"
    return f"{said}, NOT SENT: mail did not go out; run this again later." if done.failed else f"{said}."


def _json(done: Reminded) -> dict[str, object]:
    return {
        "programme": done.programme.id,
        "title": done.programme.title,
        "sent": done.sent,
        "on_pages_only": done.without_address,
        "failed": done.failed,
    }
