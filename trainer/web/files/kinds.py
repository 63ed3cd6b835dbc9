"""The kinds of files that the job runner makes for somebody, and who may ask for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from flask_babel import lazy_gettext

from trainer.services.people.words import Role

MATRIX: Final = "file.matrix"
EVIDENCE: Final = "file.evidence"
MARKS: Final = "file.marks"
RECORD: Final = "file.record"
RESULTS: Final = "file.results"
VARIANTS: Final = "paper.variants"

SMALL: Final = 300
"""Up to so many rows a table is made while its page is waited for: some tenths of a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileKind:
    """What a list of files calls it, and the roles one of which is needed to ask for it and to take it."""

    title: Any
    roles: frozenset[Role]


_MANAGERS = frozenset({Role.TRAINING_MANAGER, Role.ADMINISTRATOR})

FILE_KINDS: Final[Mapping[str, FileKind]] = {
    MATRIX: FileKind(title=lazy_gettext("People and objectives"), roles=_MANAGERS),
    EVIDENCE: FileKind(title=lazy_gettext("Evidence pack"), roles=_MANAGERS),
    MARKS: FileKind(title=lazy_gettext("Marks of a paper"), roles=frozenset({Role.LECTURER, Role.ADMINISTRATOR})),
    RECORD: FileKind(title=lazy_gettext("Training record"), roles=frozenset(Role)),
}
