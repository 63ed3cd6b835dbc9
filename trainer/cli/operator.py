"""``trainer operator``: somebody who looks after the whole site, made where the program runs."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.cli.serving import data_option, desk_over, prepared
from trainer.services.people.organisations import OrganisationsDesk
from trainer.services.people.second_factor import SecondFactors


@click.command()
@click.argument("name")
@click.option("--called", default="Operator", show_default=True, help="The operator's name as others see it.")
@click.option("--lost-device", is_flag=True, help="Only take the second factor of NAME away; any account.")
@click.option("--address", help="Address of the site for the link; by default TRAINER_ADDRESS, else this machine.")
@data_option
def operator(name: str, called: str, address: str | None, lost_device: bool, data: Path | None) -> None:
    """Make NAME an operator of the site and print the link to choose a password, good for an hour.

    NAME is what the operator signs in with: a mail address, or letters, digits, dots and dashes.
    An account that is there already becomes one.
    """
    settings, database = prepared(data)
    if lost_device:
        person = desk_over(settings, database, SecondFactors).take_away_of(name)
        database.close()
        click.echo(f"{person.sign_in_name} signs in with the password and sets up another one.")
        return
    issued = desk_over(settings, database, OrganisationsDesk).make_operator(name, called)
    database.close()
    site = (address or settings.address or "http://127.0.0.1:8000").rstrip("/")
    click.echo(f"Open within an hour, once: {site}/invitation/{issued.token}")
