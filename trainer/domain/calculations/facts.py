"""What a calculation needs and the installation does not state."""

from __future__ import annotations

from trainer.domain.errors import Problem, TrainerError

PER_MILLI = 1000.0
"""Thousandths in one: milliohm in an ohm, milliamps in an amp, amps in a kiloamp."""

PERCENT = 100.0
"""Hundredths in one."""


class MissingFactError(TrainerError):
    """A fact that a calculation needs is not stated, or stands outside the tables that it reads.

    ``paths`` names what is missing, as in the installation's file.
    """

    def __init__(self, *paths: str) -> None:
        self.paths = paths
        problem = "needed here, but not stated or not tabulated"
        super().__init__(*(Problem(path=path, problem=problem) for path in paths))


def unless_open(open_fact: str | None) -> None:
    """Called where what is known does not suffice. *Raises* MissingFactError for the fact that might suffice."""
    if open_fact is not None:
        raise MissingFactError(open_fact)
