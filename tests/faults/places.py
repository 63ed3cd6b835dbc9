"""Where the data lies: in a small file system of its own where root can mount one, so that it can be filled."""

from __future__ import annotations

import errno
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

NEEDS_ROOT = "left out: only root can mount a small file system to fill"
_BLOCK = 1 << 16


@dataclass(frozen=True)
class Place:
    """A folder for data; it can be filled where it is a file system of its own."""

    folder: Path
    is_small: bool

    def fill(self) -> None:
        """Takes all the room that is left."""
        with self._filler.open("ab", buffering=0) as file:
            block = b"x" * _BLOCK
            while block:
                try:
                    file.write(block)
                except OSError as error:
                    if error.errno != errno.ENOSPC:
                        raise
                    block = block[: len(block) // 2]

    def empty(self) -> None:
        """Gives the room back."""
        self._filler.unlink(missing_ok=True)

    @property
    def _filler(self) -> Path:
        return self.folder / "filler"


@contextmanager
def place(folder: Path, size: str) -> Iterator[Place]:
    """A folder on a file system of its own, in memory, or a plain folder where that may not be mounted."""
    folder.mkdir(parents=True, exist_ok=True)
    mounted = os.geteuid() == 0 and _ran("mount", "-t", "tmpfs", "-o", f"size={size},mode=755", "tmpfs", str(folder))
    try:
        yield Place(folder, mounted)
    finally:
        if mounted:
            _ran("umount", "--lazy", str(folder))


def _ran(*command: str) -> bool:
    return subprocess.run(command, check=False, capture_output=True).returncode == 0
