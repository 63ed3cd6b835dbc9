"""``trainer check``: every rule on an installation written by hand."""

from __future__ import annotations

import sys
from typing import Final

import click

from trainer.cli.output import JSON, errors_as, format_option, input_bytes, print_json
from trainer.domain.vocabulary import Edition
from trainer.explain.caution import CAUTION
from trainer.explain.check_report import check_report
from trainer.interop.documents import BYTES_MAXIMUM
from trainer.interop.findings_json import check_json
from trainer.interop.installations import read_installation
from trainer.services.checking import CheckVerdict
from trainer.services.checking import check as judged

EXIT_CODES: Final = {
    CheckVerdict.NO_FAILING_FINDING: 0,
    CheckVerdict.DOES_NOT_COMPLY: 1,
    CheckVerdict.UNDETERMINED: 3,
}


@click.command()
@click.argument("file", metavar="FILE")
@click.option(
    "--edition",
    type=click.Choice([edition.value for edition in Edition]),
    help="Edition to judge under, instead of the one that the file names.",
)
@format_option
def check(file: str, edition: str | None, form: str) -> None:
    """Judge the installation in FILE (TOML or JSON; - for standard input) by every rule.

    Exit code 0: nothing fails. 1: something does not comply. 3: nothing fails, but something
    is undetermined. 2: the file cannot be used. `trainer schema` prints the format.
    """
    with errors_as(form):
        read = read_installation(input_bytes(file, BYTES_MAXIMUM))
    result = judged(read.installation, Edition(edition) if edition else read.edition)
    if form == JSON:
        print_json(check_json(result, CAUTION))
    else:
        click.echo(check_report(result), nl=False)
    sys.exit(EXIT_CODES[result.verdict])
