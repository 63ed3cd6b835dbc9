"""``trainer invent``: an invented college and firm in an empty database, so that each role sees a living page."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.cli.inventing.accounts import ACCOUNTS, is_empty, password_in
from trainer.cli.inventing.filling import fill
from trainer.cli.serving import data_option, new_id, now, prepared, stored_form
from trainer.persistence.repositories import SqlStorage


@click.command()
@data_option
def invent(data: Path | None) -> None:
    """Fill an empty database with an invented college and an invented firm.

    Where an organisation exists already nothing is changed. Not for a site on which real people work.
    """
    settings, database = prepared(data)
    storage = SqlStorage(database)
    if not is_empty(storage):
        click.echo("There is an organisation already: nothing was changed.")
        return
    password = password_in(settings.data_folder)
    fill(storage, password, stored_form(), new_id, now())
    database.close()
    click.echo(f"Invented. Sign in as {', '.join(ACCOUNTS[:-1])} or {ACCOUNTS[-1]}, password {password}")
