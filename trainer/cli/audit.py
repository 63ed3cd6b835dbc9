"""``trainer audit``: the chain of who did what, verified."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from trainer.cli.output import JSON, format_option, print_json
from trainer.cli.serving import data_option, prepared
from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import ChainReport, verified

_BROKEN = 1


class NotedHashError(TrainerError):
    """A hash that was noted in a form that nothing can be compared with."""


@click.group()
def audit() -> None:
    """Verify the log of who did what to papers, marks, people and records."""


@audit.command()
@click.option("--known", multiple=True, help="NUMBER:HASH as an earlier run printed it; may be given several times.")
@format_option
@data_option
def verify(known: tuple[str, ...], form: str, data: Path | None) -> None:
    """Go through the whole chain; exit code 1 tells that it was changed.

    Note the last line somewhere else and give it to the next run with --known: whoever could
    write the whole chain anew, or cut off its end, cannot make that hash come out.
    """
    noted = dict(_noted(known))
    _, database = prepared(data)
    with SqlStorage(database).scopes(SqlAuditLog).reading() as log:
        report = verified(log.all(), known=noted)
    database.close()
    if form == JSON:
        print_json(_json(report))
    else:
        click.echo(_text(report))
    sys.exit(0 if report.broken_at is None else _BROKEN)


def _noted(texts: Iterable[str]) -> Iterable[tuple[int, str]]:
    for text in texts:
        number, separator, noted = text.partition(":")
        if not (separator and number.isascii() and number.isdigit() and len(noted) == 64):
            problem = "must be NUMBER:HASH with the 64 digits of the hash"
            raise NotedHashError(Problem(path="--known", value=text[:80], problem=problem))
        yield int(number), noted.lower()


def _text(report: ChainReport) -> str:
    last = f"{report.entries}:{report.last_hash}"
    if report.broken_at is None:
        return f"{report.entries} entries, each follows on the one before.\nLast: {last}"
    return f"Entry {report.broken_at}: {report.problem}.\nWhole up to: {last}"


def _json(report: ChainReport) -> dict[str, object]:
    return {
        "whole": report.broken_at is None,
        "entries": report.entries,
        "last_hash": report.last_hash,
        "broken_at": report.broken_at,
        "problem": report.problem,
    }
