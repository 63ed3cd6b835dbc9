"""Which facts of an installation a rule looks at when it judges: found by watching it read, not told beforehand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

_PLUMBING = ("_seen", "_path", "_names")
_WATCHED_CLASSES: dict[type[Any], type[Any]] = {}


def _watched_class(record_class: type[Any]) -> type[Any]:
    """A subclass of a record that notes each of its fields when it is read."""
    known = _WATCHED_CLASSES.get(record_class)
    if known is not None:
        return known
    names = frozenset(each.name for each in fields(record_class) if not each.name.startswith("_"))

    def read(self: Any, name: str) -> Any:
        value = object.__getattribute__(self, name)
        if name in names:
            try:
                seen, path = object.__getattribute__(self, "_seen"), object.__getattribute__(self, "_path")
            except AttributeError:  # a copy that a rule made of the record
                return value
            if not isinstance(value, Mapping) and not is_dataclass(value):
                seen[f"{path}.{name}" if path else name] = None
        return value

    made = type(
        f"Watched{record_class.__name__}",
        (record_class,),
        {"__slots__": _PLUMBING[:2], "__getattribute__": read},
    )
    _WATCHED_CLASSES[record_class] = made
    return made


class WatchedHouse:
    """A copy of an installation that notes what is read of it."""

    def __init__(self, house: Installation, edition: Edition = DEFAULT_EDITION) -> None:
        self._seen: dict[str, None] = {}
        self._limits = limits_for(edition)
        self._house: Installation = self._watch(house, "")
        object.__setattr__(self._house, "_memory", {})

    def _watch(self, record: Any, path: str) -> Any:
        copy = object.__new__(_watched_class(type(record)))
        for each in fields(record):
            if each.name.startswith("_"):
                continue
            value = getattr(record, each.name)
            below = f"{path}.{each.name}" if path else each.name
            if isinstance(value, Mapping):
                value = {key: self._watch(member, f"{below}.{key}") for key, member in value.items()}
            elif is_dataclass(value) and not isinstance(value, type):
                value = self._watch(value, below)
            object.__setattr__(copy, each.name, value)
        object.__setattr__(copy, "_seen", self._seen)
        object.__setattr__(copy, "_path", path)
        return copy

    def read_by(self, finding: Finding) -> tuple[str, ...]:
        """The paths that the rule of a finding reads when it judges the finding's subject, in that order."""
        self._house.forget()
        subject: Any = self._house
        if finding.subject != "installation":
            kind, _, key = finding.subject.partition(".")
            subject = getattr(self._house, kind)[key]
        self._seen.clear()
        finding.rule.judge(subject, self._house, self._limits)
        return tuple(self._seen)
