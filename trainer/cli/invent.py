"""``trainer invent``: invented people in an empty database: a college and a firm, or a whole crowd."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import click

from trainer.cli.inventing.accounts import ACCOUNTS, is_empty, password_in
from trainer.cli.serving import data_option, new_id, now, prepared, stored_form
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.hashing import Argon2

_ANSWERS_EACH = 100


@click.command()
@click.option("--learners", type=click.IntRange(1, 1_000_000), help="A crowd of that many in several organisations.")
@click.option(
    "--answers", type=click.IntRange(1, 100_000_000), help="Answers of the crowd in all; by default a hundred each."
)
@click.option("--seed", type=click.IntRange(0, 2**63 - 1), default=1, show_default=True, help="Of the crowd.")
@click.option(
    "--on", "day", type=click.DateTime(["%Y-%m-%d"]), help="The day that is today for the crowd; by default today."
)
@data_option
def invent(learners: int | None, answers: int | None, seed: int, day: datetime | None, data: Path | None) -> None:
    """Fill an empty database with an invented college and an invented firm.

    With --learners a crowd is invented instead, in several colleges and firms with years of practice, papers and
    refreshers, for seeing what a full database is like: 10000 learners with 1000000 answers take some minutes and 4 GB.
    The same seed and day make the same rows. All of it is made or nothing.

    Where something is there already nothing is changed. Not for a site on which real people work.
    """
    if learners is None:
        if answers is not None:
            raise click.UsageError("--answers goes with --learners.")
        _college_and_firm(data)
        return
    _crowd(learners, answers or learners * _ANSWERS_EACH, seed, day or now(), data)


def _college_and_firm(data: Path | None) -> None:
    from trainer.cli.inventing.filling import fill  # noqa: PLC0415 - heavy, and for this only

    settings, database = prepared(data)
    storage = SqlStorage(database)
    if not is_empty(storage):
        click.echo("There is an organisation already: nothing was changed.")
        return
    password = password_in(settings.data_folder)
    fill(storage, password, stored_form(), new_id, now())
    database.close()
    _tell_accounts(password)


def _crowd(learners: int, answers: int, seed: int, day: datetime, data: Path | None) -> None:
    from trainer.cli.inventing.crowd.filling import Wanted, fill_with_crowd  # noqa: PLC0415 - heavy, and for this only

    settings, database = prepared(data)
    password = password_in(settings.data_folder)
    wanted = Wanted(
        learners=learners,
        answers=answers,
        seed=seed,
        today=day.replace(hour=12, minute=0, second=0, microsecond=0, tzinfo=UTC),
        password_hash=Argon2().hash(password),
    )
    with _bar("Inventing a pattern") as pattern, _bar("Copying it") as copying:
        made = fill_with_crowd(database, wanted, stored_form(), pattern, copying)
    database.close()
    click.echo(
        f"Invented, all of it: {made.learners} learners, {made.answers} answers, {made.log_entries} entries of the log."
    )
    _tell_accounts(password)


def _tell_accounts(password: str) -> None:
    click.echo(f"Invented. Sign in as {', '.join(ACCOUNTS[:-1])} or {ACCOUNTS[-1]}, password {password}")


@contextmanager
def _bar(label: str) -> Iterator[Callable[[int, int], None]]:
    with click.progressbar(length=1, label=label, file=sys.stderr) as bar:

        def tell(done: int, length: int) -> None:
            bar.length = length
            if done - bar.pos >= length // 200 or done >= length:
                bar.update(min(done, length) - bar.pos)

        yield tell
