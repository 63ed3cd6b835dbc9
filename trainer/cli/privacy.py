"""``trainer privacy``: times of keeping, a person's copy, and erasing."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from trainer.cli.serving import data_option, now, prepared, retention_over
from trainer.domain.errors import Problem, TrainerError, UnknownNameError
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import Actor
from trainer.services.people.names import as_typed_to_sign_in
from trainer.services.privacy.copies import PersonalCopies, text_of
from trainer.services.privacy.retention import Due, Retention
from trainer.services.privacy.times import DEFAULTS
from trainer.services.privacy.words import Kept

_ACTOR = Actor(kind="command")

apply_option = click.option("--apply", is_flag=True, help="Do it; without this, only say what would be done.")
organisation_option = click.option("--organisation", default="", metavar="ID", help="An organisation instead of all.")


class WrittenFileError(TrainerError):
    """A file that cannot be written."""


@click.group()
def privacy() -> None:
    """Hold to the times of keeping; give a person a copy; erase a person."""


@privacy.command()
@click.option("--set", "changes", multiple=True, metavar="KIND=DAYS", help="Set a time; may be given several times.")
@organisation_option
@data_option
def times(changes: tuple[str, ...], organisation: str, data: Path | None) -> None:
    """List how long each kind of data is kept, and set a time."""
    wanted = [_change(each) for each in changes]
    with _retention(data) as retention:
        for kind, days in wanted:
            retention.set_time(kind, days, _ACTOR, _known(retention, organisation))
        for kind, days in retention.times(organisation).items():
            time = DEFAULTS[kind]
            click.echo(f"{kind.value:<13} {days:>5} days from {time.counts_from}; then {time.then}")


@privacy.command()
@apply_option
@data_option
def tidy(*, apply: bool, data: Path | None) -> None:
    """Show what is older than it may be, and clear it with --apply.

    The job runner does the same once a day.
    """
    with _retention(data) as retention:
        found = retention.clear(_ACTOR) if apply else retention.due()
    _tell(found, apply=apply)


@privacy.command()
@click.argument("name", required=False, default="")
@click.option("--member", nargs=2, metavar="ORGANISATION ID", help="One member of one organisation instead.")
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="File to write.")
@data_option
def copy(name: str, member: tuple[str, str] | None, out: Path, data: Path | None) -> None:
    """Write everything that is stored about a person into a file of JSON.

    NAME is what the person signs in with.
    """
    with _stored(data) as (storage, _):
        copies = PersonalCopies(storage=storage.scopes(privacy_repositories), now=now)
        document = copies.of_member(*member) if member else copies.of_account(_person(storage, name))
    _write(out, document)
    click.echo(f"Written: {out}")


@privacy.command()
@click.argument("name", required=False, default="")
@click.option("--member", nargs=2, metavar="ORGANISATION ID", help="One member of one organisation instead.")
@click.option("--everywhere", is_flag=True, help="Also take the name out of every organisation of the account.")
@apply_option
@data_option
def erase(name: str, member: tuple[str, str] | None, *, everywhere: bool, apply: bool, data: Path | None) -> None:
    """Erase a person: name, address and notes go; marks and the log stay whole, without a name.

    NAME is what the person signs in with. There is no way back but a backup.
    """
    with _stored(data) as (storage, folder):
        retention = retention_over(storage, folder)
        person_id = "" if member else _person(storage, name)
        if not apply:
            click.echo("Nothing was changed. With --apply the name is gone for good; `trainer privacy copy` first.")
            return
        if member:
            rows = retention.member(*member, _ACTOR)
        else:
            rows = retention.account(person_id, _ACTOR, everywhere=everywhere)
    for table, count in sorted(rows.items()):
        if count:
            click.echo(f"{table:<20} {count:>6}")
    click.echo("Erased.")


@contextmanager
def _stored(data: Path | None) -> Iterator[tuple[SqlStorage, Path]]:
    settings, database = prepared(data)
    try:
        yield SqlStorage(database), settings.data_folder
    finally:
        database.close()


@contextmanager
def _retention(data: Path | None) -> Iterator[Retention]:
    with _stored(data) as (storage, folder):
        yield retention_over(storage, folder)


def _change(text: str) -> tuple[Kept, int]:
    name, _, days = text.partition("=")
    if name not in set(Kept):
        problem = "unknown kind of data"
        raise UnknownNameError(Problem(path="--set", value=name[:80], problem=problem, possible=tuple(Kept)))
    if not (days.isascii() and days.isdigit() and len(days) < 9):
        raise UnknownNameError(Problem(path="--set", value=text[:80], problem="write KIND=DAYS, days as digits"))
    return Kept(name), int(days)


def _known(retention: Retention, organisation_id: str) -> str:
    with retention.storage.reading() as stored:
        known = stored.shelves.organisations()
    if organisation_id and organisation_id not in known:
        raise UnknownNameError(Problem(path="--organisation", value=organisation_id[:80], problem="is not there"))
    return organisation_id


def _person(storage: SqlStorage, name: str) -> str:
    with storage.scopes(people_repositories).reading() as stored:
        person = stored.people.by_sign_in_name(as_typed_to_sign_in(name))
    if person is None:
        problem = "nobody signs in with this name; give the name, or --member with organisation and id"
        raise UnknownNameError(Problem(path="name", value=name[:80], problem=problem))
    return person.id


def _tell(found: Sequence[Due], *, apply: bool) -> None:
    for each in found:
        where = f" in {each.organisation_id}" if each.organisation_id else ""
        click.echo(f"{each.kind.value:<13} {each.rows:>7} older than {each.days} days{where}")
    click.echo(
        "Cleared." if apply else "Nothing was changed; with --apply this is cleared." if found else "All in time."
    )


def _write(path: Path, document: Mapping[str, object]) -> None:
    content = json.dumps(json.loads(text_of(document)), ensure_ascii=False, indent=2, allow_nan=False).encode() + b"\n"
    try:
        # What is in it is for the person alone; a file that is there is not written over.
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except OSError as error:
        problem = f"cannot be written: {error.strerror}; name a file that is not there yet"
        raise WrittenFileError(Problem(path=str(path), problem=problem)) from error
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
