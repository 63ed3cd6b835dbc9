"""What the pages of the rule book say beside the rules: conditions in words, gaps, examples to work."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Any

from trainer.resources import folder

PLACE = "rulebook"
_FORMAT = "protection-trainer/rulebook"
_HEAD = ("format", "format_version", "language")
_KEYS = {"condition", "not_covered", "limits", "example"}
_EXAMPLE_KEYS = {"house", "vary", "passes", "fails", "unknown", "step", "values", "set", "called", "subject"}


class PageTextError(Exception):
    """A text of the rule book that lacks a part or has one too many: a fault of the program's data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExampleSpec:
    """One installation and one value of it to move; ``step`` or ``values`` say between what.

    ``passes``, ``fails`` and ``unknown`` are present where the rule has that outcome. ``called`` are
    the words for the value where its attribute has none of its own.
    """

    house: str
    vary: str
    shown: Mapping[str, Any]
    step: float | None = None
    values: tuple[Any, ...] = ()
    settings: Mapping[str, Any] = field(default_factory=dict)
    called: str = ""
    subject: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageText:
    """What stands on the page of one rule and not in the rule itself.

    ``limits`` names the values that the page shows as tables, such as ``earthing.touch_voltage_v``.
    """

    condition: str
    not_covered: tuple[str, ...]
    limits: tuple[str, ...]
    example: ExampleSpec


@cache
def page_texts() -> Mapping[str, PageText]:
    """The text of every page by rule id. *Raises* PageTextError."""
    found: dict[str, PageText] = {}
    for file in sorted((folder("scenarios") / PLACE).glob("*.toml")):
        data = tomllib.loads(file.read_text("utf-8"))
        if data["format"] != _FORMAT:
            continue
        for rule_id in data.keys() - set(_HEAD):
            if rule_id in found:
                raise PageTextError(f"{file.name}: {rule_id} stands in two files")
            found[rule_id] = _text(data[rule_id], f"{file.name}: {rule_id}")
    return MappingProxyType(found)


def _text(entry: Mapping[str, Any], where: str) -> PageText:
    surplus, missing = set(entry) - _KEYS, {"condition", "not_covered", "example"} - set(entry)
    if surplus or missing:
        raise PageTextError(f"{where}: too many {sorted(surplus)}, missing {sorted(missing)}")
    return PageText(
        condition=entry["condition"],
        not_covered=tuple(entry["not_covered"]),
        limits=tuple(entry.get("limits", ())),
        example=_example(entry["example"], where),
    )


def _example(entry: Mapping[str, Any], where: str) -> ExampleSpec:
    surplus, missing = set(entry) - _EXAMPLE_KEYS, {"house", "vary"} - set(entry)
    if surplus or missing:
        raise PageTextError(f"{where}.example: too many {sorted(surplus)}, missing {sorted(missing)}")
    return ExampleSpec(
        house=entry["house"],
        vary=entry["vary"],
        shown={name: entry[name] for name in ("passes", "fails", "unknown") if name in entry},
        step=entry.get("step"),
        values=tuple(entry.get("values", ())),
        settings=dict(entry.get("set", {})),
        called=entry.get("called", ""),
        subject=entry.get("subject", ""),
    )


@cache
def synonyms() -> tuple[frozenset[str], ...]:
    """Groups of words that mean the same to who searches, each in small letters."""
    file = folder("scenarios") / PLACE / "synonyms.toml"
    groups = tomllib.loads(file.read_text("utf-8"))["synonyms"]
    return tuple(frozenset(word.lower() for word in group) for group in groups)
