"""``trainer schema``: the format of installation files."""

from __future__ import annotations

import click

from trainer.cli.output import JSON, TEXT, print_json
from trainer.interop.schema import installation_schema
from trainer.interop.schema_text import schema_text


@click.command()
@click.option(
    "--format",
    "form",
    type=click.Choice([JSON, TEXT]),
    default=JSON,
    show_default=True,
    help="json: JSON Schema 2020-12; text: a listing to read",
)
def schema(form: str) -> None:
    """Print the format of the installations that `trainer check` reads."""
    if form == JSON:
        print_json(installation_schema())
    else:
        click.echo(schema_text(), nl=False)
