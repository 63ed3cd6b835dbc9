"""Work over many seeds on all cores, with a progress bar on standard error."""

from __future__ import annotations

import os
import resource
import sys
from collections.abc import Callable, Iterator, Sequence
from multiprocessing import get_context
from typing import Generic, TypeVar

import click

Result = TypeVar("Result")
_KIB_PER_MIB = 1024

jobs_option = click.option(
    "--jobs",
    type=click.IntRange(1, 256),
    default=os.cpu_count() or 1,
    show_default="one for each core",
    help="How many processes work at the same time.",
)


def pieces_of(seeds: range, size: int) -> list[range]:
    """A range of seeds in pieces of a size, the last one shorter."""
    return [range(first, min(first + size, seeds.stop)) for first in range(seeds.start, seeds.stop, size)]


def worked(
    work: Callable[[range], Result], pieces: Sequence[range], jobs: int, label: str, done: int = 0
) -> Iterator[tuple[range, Result]]:
    """Each piece with its result, as they come; ``done`` seeds count as finished in the bar."""
    length = done + sum(len(piece) for piece in pieces)
    with click.progressbar(length=length, label=label, file=sys.stderr, show_pos=True) as bar:
        bar.update(done)
        for piece, result in _results(work, pieces, jobs):
            bar.update(len(piece))
            yield piece, result


def _results(work: Callable[[range], Result], pieces: Sequence[range], jobs: int) -> Iterator[tuple[range, Result]]:
    if jobs == 1 or len(pieces) <= 1:
        for piece in pieces:
            yield piece, work(piece)
        return
    with get_context("spawn").Pool(min(jobs, len(pieces))) as pool:
        yield from pool.imap_unordered(_Call(work), pieces)


class _Call(Generic[Result]):
    """A function that gives its argument back beside the result; a process can be handed it."""

    def __init__(self, work: Callable[[range], Result]) -> None:
        self.work = work

    def __call__(self, piece: range) -> tuple[range, Result]:
        return piece, self.work(piece)


def highest_memory_mib() -> float:
    """The largest resident memory of this process or of any worker that has ended, in MiB."""
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return float(max(own, children)) / _KIB_PER_MIB
