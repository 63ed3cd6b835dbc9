"""Installations in and out of files: the format protection-trainer/installation, version 1."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from typing import Any, Final

from trainer.domain.errors import InstallationError, Problem, unknown
from trainer.domain.installation import Installation
from trainer.domain.validation import problems_in
from trainer.domain.validation.draft import COLLECTIONS, Draft
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.interop.documents import parsed
from trainer.interop.problems import limited, shown
from trainer.interop.reading import UNREADABLE, Reader, fields_of

FORMAT: Final = "protection-trainer/installation"
FORMAT_VERSION: Final = 1
HEAD: Final = ("format", "format_version", "edition")


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class InstallationFile:
    """What a file of an installation holds: the installation, and the edition to judge it under."""

    installation: Installation
    edition: Edition


def read_installation(data: bytes) -> InstallationFile:
    """The installation in the bytes of a TOML or JSON file, validated.

    *Raises* InstallationError with every problem found.
    """
    return installation_file_from_json(parsed(data))


def installation_from_json(data: object, *, kept: bool = False) -> Installation:
    """The installation that an object of the format holds, validated unless this program kept it.

    *Raises* InstallationError with every problem found.
    """
    return installation_file_from_json(data, kept=kept).installation


def installation_file_from_json(data: object, *, kept: bool = False) -> InstallationFile:
    """The installation and its edition. *Raises* InstallationError with every problem found.

    Of one that this program ``kept`` only the form is read: what it states was validated before it was kept.
    """
    if not isinstance(data, dict):
        raise InstallationError(Problem(path="", problem="must be a table with the key format"))
    reader = Reader()
    edition = _head(data, reader)
    found = reader.fields(Installation, data, "", also=HEAD) or {}
    readable: dict[str, Any] = {name: value for name, value in found.items() if value is not UNREADABLE}
    problems = [*reader.problems, *(() if kept else _contradictions(readable, reader))]
    if problems:
        raise InstallationError(*limited(problems))
    return InstallationFile(installation=Installation(**{"premises": None, **readable}), edition=edition)


def _head(data: dict[str, Any], reader: Reader) -> Edition:
    name = data.get("format")
    if name is None:
        reader.note("format", f'missing; the file must say format = "{FORMAT}"')
    elif name != FORMAT:
        reader.problems.append(unknown("format", str(shown(name)), (FORMAT,), "format"))
    version = data.get("format_version")
    if version is None:
        reader.note("format_version", f"missing; the file must say format_version = {FORMAT_VERSION}")
    elif version is True or version != FORMAT_VERSION:
        reader.note("format_version", "this program reads another version", version, (str(FORMAT_VERSION),))
    edition = reader.value(Edition, data.get("edition", DEFAULT_EDITION.value), "edition")
    return edition if isinstance(edition, Edition) else DEFAULT_EDITION


def _contradictions(readable: dict[str, Any], reader: Reader) -> list[Problem]:
    """What the readable parts contradict, without the places that could not be read anyway."""
    names = [field.name for field in dataclasses.fields(Draft) if field.name in readable]
    whole = all(name in readable for name in COLLECTIONS)
    absent: dict[str, Any] = {"title": "", "supply": None, **{name: {} for name in COLLECTIONS}}
    partial = frozenset(".".join(path.split(".")[:2]) for path in reader.partial)
    draft = Draft(**{**absent, **{name: readable[name] for name in names}}, partial=partial)
    noted = {problem.path for problem in reader.problems}
    return [
        problem
        for problem in problems_in(draft, relations=whole)
        if not any(path == problem.path or path.startswith(f"{problem.path}.") for path in noted)
    ]


def installation_to_json(house: Installation, edition: Edition = DEFAULT_EDITION) -> dict[str, Any]:
    """The object that holds an installation; what is unknown or has its default value is left out."""
    head = {"format": FORMAT, "format_version": FORMAT_VERSION, "edition": edition.value}
    return {**head, **_written(house)}


def _written(record: Any) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, default in _defaults(record.__class__):
        value = getattr(record, name)
        if value is not None and value != default:
            found[name] = value if type(value) in _AS_THEY_ARE else plain_value(value)
    return found


_AS_THEY_ARE: Final = frozenset({str, bool, int, float})


@cache
def _defaults(record: type) -> tuple[tuple[str, object], ...]:
    """The fields that a file can hold, by name, with what they are where they are not stated."""
    return tuple((field.name, _default(field)) for field in fields_of(record))


def _default(field: dataclasses.Field[Any]) -> object:
    if field.default_factory is not dataclasses.MISSING:
        return field.default_factory()
    return field.default


def plain_value(value: object) -> object:
    """A value of a record as JSON holds it: records as tables, words as text, sets as sorted lists."""
    if dataclasses.is_dataclass(value):
        return _written(value)
    if isinstance(value, Mapping):
        return [_written(record) for record in value.values()]
    if isinstance(value, frozenset):
        return sorted(value)
    return value.value if isinstance(value, StrEnum) else value
