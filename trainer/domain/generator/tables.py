"""Reads tables of plain values with every problem noted by file and key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any, TypeVar

from trainer.domain.errors import Problem, unknown
from trainer.domain.generator.specs import OneOf, Spec, fixed, read_spec

Word = TypeVar("Word", bound=StrEnum)
_MISSING = object()


class TableReader:
    """One table of a data file. Missing and misspelt keys are noted, so that all show at once."""

    def __init__(self, raw: Mapping[str, Any], path: str, problems: list[Problem]) -> None:
        self.raw = raw
        self.path = path
        self.problems = problems

    def place(self, key: str) -> str:
        """The path of a key, as problems name it."""
        return f"{self.path}: {key}" if self.path.endswith(".toml") else f"{self.path}.{key}"

    def note(self, key: str, problem: str, value: Any = None) -> None:
        """Keep one problem."""
        shown = None if value is None else str(value)
        self.problems.append(Problem(path=self.place(key), problem=problem, value=shown))

    def get(self, key: str, kind: type, default: Any = _MISSING) -> Any:
        """The value of a key in its type, or the default."""
        if key not in self.raw:
            if default is _MISSING:
                self.note(key, "missing; it is required")
                return kind()
            return default
        value = self.raw[key]
        if kind is float and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        if not isinstance(value, kind) or (kind is not bool and isinstance(value, bool)):
            self.note(key, f"must be {_NAMES.get(kind, kind.__name__)}", value)
            return kind()
        return value

    def word(self, key: str, words: type[Word], default: Word | None = None) -> Word:
        """The value of a key as one of the words of a closed list."""
        first = next(iter(words))
        if key not in self.raw and default is not None:
            return default
        value = self.get(key, str)
        if value in [word.value for word in words]:
            return words(value)
        self.problems.append(unknown(self.place(key), str(value), [w.value for w in words], "word"))
        return first

    def words(self, key: str, words: type[Word]) -> tuple[Word, ...]:
        """A list of words; an absent key is an empty list."""
        found = []
        for value in self.get(key, list, []):
            if value in [word.value for word in words]:
                found.append(words(value))
            else:
                self.problems.append(unknown(self.place(key), str(value), [w.value for w in words], "word"))
        return tuple(found)

    def texts(self, key: str, *, needed: bool = False) -> tuple[str, ...]:
        """A list of texts; an absent key is an empty list unless it is needed."""
        values = self.get(key, list) if needed else self.get(key, list, [])
        if not all(isinstance(value, str) for value in values):
            self.note(key, "must be a list of texts", values)
            return ()
        if needed and not values and key in self.raw:
            self.note(key, "must not be empty")
        return tuple(values)

    def numbers(self, key: str) -> tuple[float, ...]:
        """A list of numbers, not empty."""
        values = self.get(key, list)
        if not values or not all(isinstance(v, int | float) and not isinstance(v, bool) for v in values):
            self.note(key, "must be a list of numbers", values)
            return (0.0,)
        return tuple(float(value) for value in values)

    def spec(self, key: str) -> Spec:
        """A value left to chance."""
        if key not in self.raw:
            self.note(key, "missing; it is required")
            return fixed(0)
        return read_spec(self.raw[key], self.place(key), self.problems)

    def weighted_names(self, key: str) -> OneOf:
        """A table of names with weights."""
        table = self.get(key, dict)
        names = tuple(table)
        if not names or not all(isinstance(w, int | float) and w > 0 for w in table.values()):
            self.note(key, "must be a table of names with weights above 0", dict(table))
            return OneOf(("",), (1.0,))
        return OneOf(names, tuple(float(weight) for weight in table.values()))

    def tables(self, key: str) -> list[TableReader]:
        """The tables of a list, each with its place."""
        raw = self.get(key, list, [])
        if not all(isinstance(each, Mapping) for each in raw):
            self.note(key, f"must be a list of tables; in TOML each starts with [[{key}]]", raw)
            return []
        return [TableReader(each, f"{self.place(key)}[{n}]", self.problems) for n, each in enumerate(raw)]

    def table(self, key: str) -> Mapping[str, Any]:
        """A table; an absent one is empty."""
        return self.get(key, dict, {})  # type: ignore[no-any-return]

    def only(self, known: Iterable[str]) -> None:
        """Note every key that is not among the known ones."""
        names: Sequence[str] = tuple(known)
        for key in self.raw:
            if key not in names:
                self.problems.append(unknown(self.place(key), key, names, "key"))


_NAMES: dict[type, str] = {
    str: "a text",
    float: "a number",
    int: "a whole number",
    bool: "true or false",
    list: "a list",
    dict: "a table",
}
