"""Which lines of the modules in question each test reaches, found by running each test once under a trace."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, NamedTuple

from tests.mutation.swapping import Place, place


class Reached(NamedTuple):
    """What one test reaches in one module, and how long it takes."""

    lines: frozenset[int]
    functions: frozenset[Place]


class Trace:
    """Notes lines and functions of some files while it is on."""

    def __init__(self, files: list[str]) -> None:
        self.lines: dict[str, set[int]] = {file: set() for file in files}
        self.functions: dict[str, set[Place]] = {file: set() for file in files}

    def _called(self, frame: FrameType, *_: Any) -> Callable[..., Any] | None:
        code = frame.f_code
        lines = self.lines.get(code.co_filename)
        if lines is None:
            return None
        self.functions[code.co_filename].add(place(code))

        def line(inner: FrameType, event: str, _: Any) -> Any:
            if event == "line":
                lines.add(inner.f_lineno)
            return line

        return line

    @contextmanager
    def on(self) -> Iterator[None]:
        """Note what runs in here."""
        threading.settrace(self._called)
        sys.settrace(self._called)
        try:
            yield
        finally:
            self.off()

    def off(self) -> None:
        """Note no more."""
        sys.settrace(None)
        threading.settrace(None)

    def taken(self) -> dict[str, Reached]:
        """What was noted since the last time, by file; files that were not reached are left out."""
        found = {
            file: Reached(frozenset(self.lines[file]), frozenset(self.functions[file]))
            for file in self.lines
            if self.functions[file]
        }
        for file in self.lines:
            self.lines[file].clear()
            self.functions[file].clear()
        return found
