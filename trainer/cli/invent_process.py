"""Inventing college and firm beside a demo that already serves."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

# It takes half a minute; a machine with other work may need many times as long.
_PATIENCE_S = 900


@contextmanager
def inventing(folder: Path, *, wanted: bool) -> Iterator[Callable[[], bool]]:
    """Runs ``trainer invent`` for a folder in a process of its own; at the end it is let finish.

    Half an organisation would be of no use to anybody, so the few seconds are waited for. Gives a
    question to ask: is it still at work?
    """
    if not wanted:
        yield lambda: False
        return
    command = [sys.executable, "-m", "trainer", "invent", "--data", str(folder)]
    # In a group of its own: Ctrl-C is for the demo, which then waits for it.
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, start_new_session=True)  # noqa: S603 - our own
    try:
        yield lambda: process.poll() is None
    finally:
        if process.poll() is None:
            click.echo("Finishing the invented college and firm; a moment.")
        try:
            process.wait(_PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
