"""Mail that was written into a folder, by age."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class MailFiles:
    """Messages in a folder; a folder that is not there holds none."""

    folder: Path

    def count(self, before: datetime) -> int:
        """How many are older."""
        return sum(1 for _ in self._older(before))

    def clear(self, before: datetime) -> int:
        """Deletes those that are older; gives the number."""
        older = list(self._older(before))
        for path in older:
            # Another run may have been faster.
            path.unlink(missing_ok=True)
        return len(older)

    def _older(self, before: datetime) -> Iterator[Path]:
        for path in sorted(self.folder.glob("*.eml")):
            if not path.is_symlink() and datetime.fromtimestamp(path.stat().st_mtime, UTC) < before:
                yield path
