"""Plain values to typed records, by the type hints of the records, noting every problem on the way."""

from __future__ import annotations

import dataclasses
import math
import types
from collections.abc import Mapping
from enum import Enum, StrEnum, auto
from functools import cache
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

from trainer.domain.errors import Problem, unknown
from trainer.domain.validation.values import id_problem
from trainer.interop.problems import shown
from trainer.interop.words import synonym

UNREADABLE: Final = object()
RECORDS_MAXIMUM: Final = 500
_EXACT: Final = 2**53


@cache
def hints_of(record: type) -> Mapping[str, Any]:
    """The resolved type hints of a record's fields."""
    return get_type_hints(record)


@cache
def fields_of(record: type) -> tuple[dataclasses.Field[Any], ...]:
    """The fields of a record that a file can hold."""
    return tuple(field for field in dataclasses.fields(record) if field.init)


@cache
def without_none(hint: Any) -> tuple[Any, bool]:
    """A hint without None, and whether it allowed None."""
    if get_origin(hint) in (Union, types.UnionType):
        inner = [each for each in get_args(hint) if each is not type(None)]
        return inner[0], len(inner) < len(get_args(hint))
    return hint, False


def is_required(record: type, field: dataclasses.Field[Any]) -> bool:
    """True when a file must state the field: it has no default and cannot be unknown."""
    if field.default is not dataclasses.MISSING or field.default_factory is not dataclasses.MISSING:
        return False
    return not without_none(hints_of(record)[field.name])[1]


class Way(Enum):
    """How a value is read, by what its hint wants."""

    RECORD = auto()
    TEXTS = auto()
    COLLECTION = auto()
    WORD = auto()
    PLAIN = auto()


@cache
def _way(hint: Any) -> tuple[Way, Any, bool]:
    """How the values of a hint are read, the kind that they are made of, and whether there may be none."""
    kind, optional = without_none(hint)
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return Way.RECORD, kind, optional
    if get_origin(kind) is frozenset:
        return Way.TEXTS, kind, optional
    if get_origin(kind) is not None:
        return Way.COLLECTION, get_args(kind)[1], optional
    return Way.WORD if issubclass(kind, StrEnum) else Way.PLAIN, kind, optional


@cache
def _words_of(kind: type[StrEnum]) -> tuple[str, ...]:
    return tuple(word.value for word in kind)


@cache
def _wanted(record: type) -> tuple[tuple[str, Any, bool], ...]:
    """The fields of a record that a file can hold: name, hint, and whether it must be stated."""
    hints = hints_of(record)
    return tuple((field.name, hints[field.name], is_required(record, field)) for field in fields_of(record))


@cache
def _names_of(record: type) -> frozenset[str]:
    return frozenset(name for name, _, _ in _wanted(record))


@cache
def _without_default(record: type) -> tuple[tuple[str, bool], ...]:
    """The fields that have no default, and whether they must be stated."""
    return tuple((each.name, is_required(record, each)) for each in fields_of(record) if _has_no_default(each))


class Reader:
    """Reads records and keeps the problems. ``partial`` are the paths of records with gaps."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.partial: set[str] = set()

    def note(self, path: str, problem: str, value: object = UNREADABLE, possible: tuple[str, ...] = ()) -> object:
        """Keep one problem; gives UNREADABLE, so that it can be returned."""
        given = None if value is UNREADABLE else shown(value)
        self.problems.append(Problem(path=path, problem=problem, value=given, possible=possible))
        return UNREADABLE

    def value(self, hint: Any, value: object, path: str) -> object:
        """The value as its hint wants it, or UNREADABLE."""
        way, kind, optional = _way(hint)
        if value is None and optional:
            return None
        if way is Way.PLAIN:
            return self._plain(kind, value, path)
        if way is Way.WORD:
            return self._word(kind, value, path)
        if way is Way.RECORD:
            return self.record(kind, value, path)
        return self._texts(value, path) if way is Way.TEXTS else self._collection(kind, value, path)

    def fields(self, record: type, data: object, path: str, also: tuple[str, ...] = ()) -> dict[str, object] | None:
        """The readable fields of a record by name; None when there is no table at all."""
        if not isinstance(data, dict):
            self.note(path, "must be a table", data)
            return None
        wanted = _wanted(record)
        if not data.keys() <= _names_of(record):
            names = (*also, *(name for name, _, _ in wanted))
            for key in (key for key in data if key not in names):
                self.problems.append(unknown(_join(path, key), str(shown(key)), names, "key"))
        found: dict[str, object] = {}
        start = f"{path}." if path else ""
        for name, hint, required in wanted:
            if name in data:
                found[name] = self.value(hint, data[name], f"{start}{name}")
            elif required:
                self.note(f"{start}{name}", "missing; it is required")
                found[name] = UNREADABLE
        return found

    def record(self, record: type, data: object, path: str) -> object:
        """A record; what cannot be read takes its default or None, so that reading can go on."""
        found = self.fields(record, data, path)
        if found is None:
            return UNREADABLE
        readable = {name: value for name, value in found.items() if value is not UNREADABLE}
        for name, required in _without_default(record):
            if name not in readable:
                readable[name] = None
                if required:
                    self.partial.add(path)
        return record(**readable)

    def _collection(self, record: type, value: object, path: str) -> object:
        if not isinstance(value, list):
            return self.note(path, f"must be a list of tables; in TOML each starts with [[{path}]]", value)
        if len(value) > RECORDS_MAXIMUM:
            return self.note(path, f"at most {RECORDS_MAXIMUM} are possible", len(value))
        found: dict[str, object] = {}
        for index, data in enumerate(value):
            place = f"{path}[{index}]"
            key = self._key(data, place)
            item = self.record(record, data, place if key is None else f"{path}.{key}")
            if key in found:
                self.note(f"{place}.id", "this id stands twice", key)
            elif key is not None:
                found[key] = item
        return found

    def _key(self, data: object, place: str) -> str | None:
        """The id of a record, or None where it has none that a path could name."""
        key = data.get("id") if isinstance(data, dict) else None
        if not isinstance(key, str):
            return None
        problem = id_problem(f"{place}.id", key)
        if problem is None:
            return key
        self.problems.append(problem)
        return None

    def _texts(self, value: object, path: str) -> object:
        if not isinstance(value, list):
            return self.note(path, "must be a list of texts", value)
        for index, item in enumerate(value):
            if not isinstance(item, str):
                return self.note(f"{path}[{index}]", "must be a text in quotes", item)
            if item in value[:index]:
                self.note(f"{path}[{index}]", "stands twice", item)
        return frozenset(value)

    def _word(self, kind: type[StrEnum], value: object, path: str) -> object:
        words = _words_of(kind)
        if not isinstance(value, str):
            return self.note(path, "must be one of the words", value, words)
        if value in words:
            return kind(value)
        problem = unknown(path, value, words, "word")
        meant = synonym(value, words)
        if meant is not None:
            problem = dataclasses.replace(problem, nearest=meant)
        self.problems.append(dataclasses.replace(problem, value=shown(value)))
        return UNREADABLE

    def _plain(self, kind: type, value: object, path: str) -> object:
        if kind is str:
            return value if isinstance(value, str) else self.note(path, "must be a text in quotes", value)
        if kind is bool:
            return value if isinstance(value, bool) else self.note(path, "must be true or false", value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            hint = "must be a number without quotes" if isinstance(value, str) else "must be a number"
            return self.note(path, hint, value)
        if not _usable(value):
            return self.note(path, "must be a finite number of usual size", value)
        if kind is float:
            return float(value)
        return int(value) if value == int(value) else self.note(path, "must be a whole number", value)


def _usable(value: float) -> bool:
    return abs(value) < _EXACT if isinstance(value, int) else math.isfinite(value)


def _has_no_default(field: dataclasses.Field[Any]) -> bool:
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


def _join(path: str, name: object) -> str:
    word = str(shown(name))
    return f"{path}.{word}" if path else word
