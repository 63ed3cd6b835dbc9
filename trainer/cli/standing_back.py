"""Work in the background that gives way to everybody, but not while others wait for what it holds.

A process of low priority that has the right to write and is not let go on keeps everybody from
writing: on two busy processors a transaction of one millisecond took fifty. So what is worked out is
worked out with low priority, and what is written is written by a thread that kept the usual one.

*Source* sched(7): under Linux threads of one process do not share a nice value, and a new thread has
that of the one that made it. Elsewhere the whole process stands back, as before.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

STANDS_BACK = 10
T = TypeVar("T")


class Foreground:
    """Does short pieces of work with the priority that whoever made it had then."""

    def __init__(self) -> None:
        self._thread = ThreadPoolExecutor(1, "foreground")
        # The thread is made with its first work.
        self._thread.submit(int).result()

    def __call__(self, work: Callable[[], T], /) -> T:
        """Does it and gives what comes of it; whoever asks waits."""
        return self._thread.submit(work).result()


def stood_back() -> Foreground:
    """Lets the calling thread stand back from now on; gives what does not."""
    foreground = Foreground()
    if hasattr(os, "nice"):
        os.nice(STANDS_BACK)
    return foreground
