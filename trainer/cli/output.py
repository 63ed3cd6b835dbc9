"""What commands print: texts for people, canonical JSON for machines, errors as either."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import click

from trainer.domain.errors import Problem, TrainerError
from trainer.interop.canonical import canonical_bytes
from trainer.interop.problems import errors_json

TEXT, JSON = "text", "json"
UNUSABLE_INPUT = 2

format_option = click.option(
    "--format",
    "form",
    type=click.Choice([TEXT, JSON]),
    default=TEXT,
    show_default=True,
    help="text for people, json for machines",
)


class UnreadableFileError(TrainerError):
    """A file that cannot be opened."""


def print_json(value: object) -> None:
    """One object as canonical JSON and nothing else on standard output."""
    sys.stdout.buffer.write(canonical_bytes(value))
    sys.stdout.buffer.flush()


def print_json_with_list(head: Mapping[str, object], name: str, items: Iterable[object]) -> None:
    """One object as canonical JSON whose list ``name`` is written item by item, so that it may be long.

    ``head`` holds the other parts; those after ``name`` in the order of the alphabet are read when
    the list has ended, so they may count it.
    """
    out = sys.stdout.buffer
    before = {key: head[key] for key in head if key < name}
    out.write(canonical_bytes({**before, name: []}).removesuffix(b"]}\n"))
    for number, item in enumerate(items):
        out.write((b"," if number else b"") + canonical_bytes(item).removesuffix(b"\n"))
    after = canonical_bytes({key: head[key] for key in head if key > name})
    out.write(b"]" + (b"," + after[1:] if len(after) > len(b"{}\n") else b"}\n"))
    out.flush()


def input_bytes(name: str, at_most: int) -> bytes:
    """The content of a file, or of standard input for ``-``; reading stops just after ``at_most`` bytes.

    *Raises* UnreadableFileError.
    """
    if name == "-":
        return sys.stdin.buffer.read(at_most + 1)
    try:
        with Path(name).open("rb") as file:
            return file.read(at_most + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        problem = f"cannot be read: {reason}; name a file, or - for standard input"
        raise UnreadableFileError(Problem(path=name, problem=problem)) from error


@contextmanager
def errors_as(form: str) -> Iterator[None]:
    """Errors of the input as JSON where JSON was asked for; as text the group prints them. Exit 2."""
    try:
        yield
    except TrainerError as error:
        if form != JSON:
            raise
        print_json(errors_json(error.problems))
        sys.exit(UNUSABLE_INPUT)
