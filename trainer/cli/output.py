"""What commands print: texts for people, canonical JSON for machines, errors as either."""

from __future__ import annotations

import sys
from collections.abc import Iterator
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
