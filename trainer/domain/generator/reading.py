"""Archetypes, families and wirings from the tables of their files."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.errors import Problem
from trainer.domain.generator.data import (
    Archetype,
    BoardStyle,
    Facts,
    Family,
    FamilyCircuit,
    SupplyKind,
    Variant,
    Wiring,
    Work,
)
from trainer.domain.generator.tables import TableReader
from trainer.domain.generator.typed import read_facts
from trainer.domain.supply import Earthing, Supply
from trainer.domain.vocabulary import Curve, EarthingSystem, Location, Premises

HEAD = ("format", "format_version", "language")
LEVELS = (1, 2, 3, 4, 5)
COVERED_SECTIONS = ("701", "705", "708", "712", "722")
"""The special locations of Part 7 that the rule book judges."""


def head(reader: TableReader, name: str) -> None:
    """Check format, version and language of one file."""
    wanted = f"protection-trainer/{name}"
    if reader.get("format", str) != wanted:
        reader.note("format", f"must be {wanted}", reader.raw.get("format"))
    if reader.get("format_version", int) != 1:
        reader.note("format_version", "this program reads version 1", reader.raw.get("format_version"))
    if reader.get("language", str) != "en-GB":
        reader.note("language", "texts are in en-GB", reader.raw.get("language"))


def _facts(reader: TableReader, key: str, record: type) -> Facts:
    return read_facts(reader.table(key), record, reader.place(key), reader.problems)


def read_family(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> Family:
    """One family of equipment."""
    reader = TableReader(raw, path, problems)
    head(reader, "equipment-family")
    reader.only((*HEAD, "id", "kind", "label", "description", "data_sheet", "facts", "variant", "circuit"))
    variants = [
        Variant(id=each.get("id", str), weight=each.get("weight", float), facts=_facts(each, "facts", Equipment))
        for each in reader.tables("variant")
    ]
    circuit = TableReader(reader.get("circuit", dict), reader.place("circuit"), problems)
    circuit.only(("rated_currents_a", "offered_a", "curve", "usual_mm2", "facts"))
    return Family(
        id=reader.get("id", str),
        kind=reader.word("kind", EquipmentKind),
        label=reader.get("label", str),
        description=reader.get("description", str),
        data_sheet=reader.get("data_sheet", bool),
        facts=_facts(reader, "facts", Equipment),
        variants=tuple(variants) or (Variant(id="only", weight=1.0, facts=()),),
        circuit=FamilyCircuit(
            rated_currents_a=circuit.numbers("rated_currents_a"),
            offered_a=circuit.numbers("offered_a"),
            curve=circuit.word("curve", Curve),
            usual_mm2=circuit.get("usual_mm2", float),
            facts=_facts(circuit, "facts", Circuit),
        ),
    )


def read_wirings(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> dict[str, Wiring]:
    """All ways of running a cable, by id."""
    head(TableReader(raw, path, problems), "wiring")
    found = {}
    for name, table in raw.items():
        if name in HEAD:
            continue
        reader = TableReader(table, f"{path}: {name}", problems)
        reader.only(("label", "type", "reference_method", "smallest_mm2", "facts"))
        found[name] = Wiring(
            id=name,
            label=reader.get("label", str),
            type=reader.word("type", CableType),
            reference_method=reader.get("reference_method", str),
            smallest_mm2=reader.get("smallest_mm2", float, 0.0),
            facts=_facts(reader, "facts", Cable),
        )
    return found


def read_archetype(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> Archetype:
    """One kind of premises."""
    reader = TableReader(raw, path, problems)
    head(reader, "archetype")
    reader.only(
        (
            *HEAD,
            "id",
            "label",
            "premises",
            "weight",
            "levels",
            "titles",
            "street_endings",
            "year_built",
            "supply",
            "board",
            "existing",
            "wanted",
            "special_locations",
            "whole",
            "site",
            "stories",
            "words",
        )
    )
    levels = tuple(reader.get("levels", list))
    if not levels or not set(levels) <= set(LEVELS):
        reader.note("levels", f"must be some of {LEVELS}", levels)
    return Archetype(
        id=reader.get("id", str),
        label=reader.get("label", str),
        premises=reader.word("premises", Premises),
        weight=reader.get("weight", float),
        levels=levels,
        titles=reader.texts("titles", needed=True),
        street_endings=reader.texts("street_endings", needed=True),
        year_built=reader.spec("year_built"),
        supplies=tuple(_supply(each) for each in _some(reader, "supply")),
        boards=tuple(_board(each) for each in _some(reader, "board")),
        existing=tuple(_work(each) for each in _some(reader, "existing")),
        wanted=tuple(_work(each) for each in _some(reader, "wanted")),
        special_locations=_sections(reader),
        whole=tuple(each.texts("roles", needed=True) for each in reader.tables("whole")),
        site=tuple(each.texts("roles", needed=True) for each in reader.tables("site")),
        stories=_stories(reader),
        words=_words(reader),
    )


def _sections(reader: TableReader) -> tuple[str, ...]:
    """The special locations that the premises touch; one that no rule judges is refused."""
    sections = reader.texts("special_locations")
    for section in sections:
        if section not in COVERED_SECTIONS:
            covered = ", ".join(COVERED_SECTIONS)
            reader.note("special_locations", f"the rule book has no rules for it; it has {covered}", section)
    return sections


def _words(reader: TableReader) -> dict[int, int]:
    """The usual number of words to read, by level."""
    table = TableReader(reader.table("words"), reader.place("words"), reader.problems)
    table.only([str(level) for level in LEVELS])
    return {int(key): table.get(key, int) for key in table.raw if key.isdecimal()}


def _some(reader: TableReader, key: str) -> list[TableReader]:
    tables = reader.tables(key)
    if not tables:
        reader.note(key, f"at least one [[{key}]] is needed")
    return tables


def _supply(reader: TableReader) -> SupplyKind:
    reader.only(("system", "weight", "phases", "facts", "earthing"))
    return SupplyKind(
        system=reader.word("system", EarthingSystem),
        weight=reader.get("weight", float),
        phases=reader.get("phases", int),
        facts=_facts(reader, "facts", Supply),
        earthing=_facts(reader, "earthing", Earthing),
    )


def _board(reader: TableReader) -> BoardStyle:
    reader.only(("style", "weight", "year", "systems", "facts"))
    return BoardStyle(
        style=reader.get("style", str),
        weight=reader.get("weight", float),
        year=reader.spec("year"),
        facts=_facts(reader, "facts", Board),
        systems=reader.words("systems", EarthingSystem),
    )


def _work(reader: TableReader) -> Work:
    reader.only(("role", "label", "families", "wiring", "length_m", "location", "probability", "side", "line", "facts"))
    return Work(
        role=reader.get("role", str),
        label=reader.get("label", str),
        families=reader.weighted_names("families"),
        wiring=reader.weighted_names("wiring"),
        length_m=reader.spec("length_m"),
        location=reader.word("location", Location),
        probability=reader.get("probability", float, 1.0),
        side=reader.get("side", int, 1),
        line=reader.get("line", str, "L1"),
        facts=_facts(reader, "facts", Circuit),
    )


def _stories(reader: TableReader) -> dict[str, tuple[str, ...]]:
    table = TableReader(reader.table("stories"), reader.place("stories"), reader.problems)
    return {key: table.texts(key, needed=True) for key in table.raw}
