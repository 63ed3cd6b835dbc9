"""Traps, misconceptions, wording, costs and names from the tables of their files."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainer.domain.answers.misconceptions import Misconception, Sign
from trainer.domain.errors import Problem
from trainer.domain.generator.data import (
    DecisionText,
    FactWording,
    Names,
    SheetStyle,
    SheetWording,
    TrapSpec,
    Wants,
)
from trainer.domain.generator.reading import HEAD, head
from trainer.domain.generator.tables import TableReader
from trainer.domain.vocabulary import EarthingSystem, Premises


def read_traps(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, TrapSpec]:
    """All named traps, by id, in the order of the file."""
    reader = TableReader(raw, path, problems)
    head(reader, "traps")
    return {trap.id: trap for trap in map(_trap, reader.tables("trap"))}


def _trap(reader: TableReader) -> TrapSpec:
    reader.only(
        (
            *("id", "name", "misconception", "levels", "decisions", "options", "rules", "also"),
            *("shared", "side", "existing", "honest", "weight", "wants"),
        )
    )
    honest = reader.get("honest", bool, False)
    wants = TableReader(reader.table("wants"), reader.place("wants"), reader.problems)
    wants.only(("systems", "families", "variants", "boards", "roles", "together", "premises"))
    return TrapSpec(
        id=reader.get("id", str),
        name=reader.get("name", str),
        misconception=reader.get("misconception", str),
        levels=tuple(reader.get("levels", list)),
        decisions=reader.texts("decisions", needed=not honest),
        options=reader.texts("options", needed=not honest),
        rules=reader.texts("rules", needed=not honest),
        also=reader.texts("also"),
        shared=reader.get("shared", bool, False),
        side=reader.get("side", str, ""),
        existing=reader.get("existing", bool, False),
        honest=honest,
        weight=reader.get("weight", float, 1.0),
        wants=Wants(
            systems=wants.words("systems", EarthingSystem),
            families=wants.texts("families"),
            variants=wants.texts("variants"),
            boards=wants.texts("boards"),
            roles=wants.texts("roles"),
            together=wants.texts("together"),
            premises=wants.words("premises", Premises),
        ),
    )


def read_misconceptions(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, Misconception]:
    """All misconceptions, by id, in the order of the file."""
    reader = TableReader(raw, path, problems)
    head(reader, "misconceptions")
    found = [
        Misconception(
            id=each.get("id", str),
            statement=each.get("statement", str),
            why_wrong=each.get("why_wrong", str),
            rule=each.get("rule", str),
            signs=tuple(_sign(sign) for sign in each.tables("signs")),
        )
        for each in reader.tables("misconception")
    ]
    return {each.id: each for each in found}


def _sign(reader: TableReader) -> Sign:
    reader.only(("rule", "cases", "decision", "options"))
    return Sign(
        rule=reader.get("rule", str),
        cases=reader.texts("cases"),
        decision=reader.get("decision", str, ""),
        options=reader.texts("options"),
    )


def read_decisions(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, DecisionText]:
    """The wording of every kind of decision."""
    head(TableReader(raw, path, problems), "decisions")
    found = {}
    for kind, table in raw.items():
        if kind in HEAD:
            continue
        reader = TableReader(table, f"{path}: {kind}", problems)
        reader.only(("question", "objectives", "by_role", "options"))
        by_role = TableReader(reader.table("by_role"), reader.place("by_role"), problems)
        found[kind] = DecisionText(
            question=reader.get("question", str),
            objectives=reader.texts("objectives", needed=True),
            objectives_by_role={role: by_role.texts(role) for role in by_role.raw},
            options=_words(reader, "options"),
        )
    return found


def _words(reader: TableReader, key: str) -> dict[str, str]:
    table = TableReader(reader.table(key), reader.place(key), reader.problems)
    return {name: table.get(name, str) for name in table.raw}


def read_costs(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, dict[str, int]]:
    """The cost index of each property, by value."""
    head(TableReader(raw, path, problems), "costs")
    found = {}
    for name, table in raw.items():
        if name not in HEAD:
            reader = TableReader(table, f"{path}: {name}", problems)
            found[name] = {key: reader.get(key, int) for key in reader.raw}
    return found


def read_names(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> Names:
    """Makers, streets and surnames."""
    reader = TableReader(raw, path, problems)
    head(reader, "names")
    return Names(
        makers=reader.texts("makers", needed=True),
        streets=reader.texts("streets", needed=True),
        families=reader.texts("families", needed=True),
    )


def read_stories(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, dict[str, tuple[str, ...]]]:
    """Customers' stories, by kind of premises and by role."""
    head(TableReader(raw, path, problems), "stories")
    found = {}
    for name, table in raw.items():
        if name not in HEAD:
            reader = TableReader(table, f"{path}: {name}", problems)
            found[name] = {key: reader.texts(key, needed=True) for key in reader.raw}
    return found


def read_sheets(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> SheetWording:
    """Styles of data sheets, wording of facts, labels of survey and supply record."""
    reader = TableReader(raw, path, problems)
    head(reader, "sheets")
    facts = {
        name: _fact(TableReader(table, f"{path}: facts.{name}", problems))
        for name, table in reader.table("facts").items()
    }
    texts = TableReader(reader.table("texts"), f"{path}: texts", problems)
    return SheetWording(
        facts=facts,
        styles=tuple(_style(each, facts) for each in reader.tables("style")),
        texts={name: _words(texts, name) for name in texts.raw},
    )


def _fact(reader: TableReader) -> FactWording:
    reader.only(("unit", "labels", "words", "sentences"))
    sentences = TableReader(reader.table("sentences"), reader.place("sentences"), reader.problems)
    return FactWording(
        labels=reader.texts("labels", needed=True),
        words=_words(reader, "words"),
        sentences={name: sentences.texts(name, needed=True) for name in sentences.raw},
        unit=reader.get("unit", str, ""),
    )


def _style(reader: TableReader, facts: Mapping[str, FactWording]) -> SheetStyle:
    reader.only(("id", "voice", "rows", "notes", "small_print", "opening", "closing"))
    style = SheetStyle(
        id=reader.get("id", str),
        voice=reader.get("voice", int),
        rows=reader.texts("rows", needed=True),
        notes=reader.texts("notes"),
        small_print=reader.texts("small_print"),
        opening=reader.get("opening", str),
        closing=reader.get("closing", str),
    )
    placed = (*style.rows, *style.notes, *style.small_print)
    for name in facts:
        if placed.count(name) != 1:
            reader.note("rows", f"{name} must stand once among rows, notes and small_print", style.id)
    return style
