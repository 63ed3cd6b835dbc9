"""One value from all tables of the folder of scenario data, with every reference checked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trainer.domain.errors import Problem, TrainerError, unknown
from trainer.domain.generator import reading_texts as texts
from trainer.domain.generator.data import Archetype, Family, ScenarioData, TrapSpec, Wiring, Work
from trainer.domain.generator.reading import read_archetype, read_family, read_wirings
from trainer.domain.questions.reading import read_questions
from trainer.domain.vocabulary import Location, Premises

Tables = Mapping[str, Mapping[str, Any]]
"""The parsed files of the folder by their names below it, such as ``archetypes/flat.toml``."""

SINGLE_FILES = (
    "wiring.toml",
    "traps.toml",
    "misconceptions.toml",
    "decisions.toml",
    "costs.toml",
    "names.toml",
    "stories.toml",
    "sheets.toml",
)


class ScenarioDataError(TrainerError):
    """Scenario data that cannot be used; every problem with its file and key."""


def scenario_data(tables: Tables) -> ScenarioData:
    """The data of all files. *Raises* ScenarioDataError with every problem found."""
    problems = [Problem(path=name, problem="missing") for name in SINGLE_FILES if name not in tables]
    if problems:
        raise ScenarioDataError(*problems)
    families = {
        family.id: family
        for name, raw in sorted(tables.items())
        if name.startswith("equipment/")
        for family in (read_family(raw, name, problems),)
    }
    archetypes = {
        archetype.id: archetype
        for name, raw in sorted(tables.items())
        if name.startswith("archetypes/")
        for archetype in (read_archetype(raw, name, problems),)
    }
    data = ScenarioData(
        archetypes=archetypes,
        families=families,
        wirings=read_wirings(tables["wiring.toml"], "wiring.toml", problems),
        traps=texts.read_traps(tables["traps.toml"], "traps.toml", problems),
        misconceptions=texts.read_misconceptions(tables["misconceptions.toml"], "misconceptions.toml", problems),
        decisions=texts.read_decisions(tables["decisions.toml"], "decisions.toml", problems),
        costs=texts.read_costs(tables["costs.toml"], "costs.toml", problems),
        names=texts.read_names(tables["names.toml"], "names.toml", problems),
        stories=texts.read_stories(tables["stories.toml"], "stories.toml", problems),
        sheets=texts.read_sheets(tables["sheets.toml"], "sheets.toml", problems),
        questions=read_questions(tables, problems),
    )
    problems.extend(_references(data))
    if problems:
        raise ScenarioDataError(*problems)
    return data


def _references(data: ScenarioData) -> Iterator[Problem]:
    """Every name that one file uses and another lacks."""
    for archetype in data.archetypes.values():
        yield from _of_archetype(archetype, data)
    for trap in data.traps.values():
        yield from _of_trap(trap, data)


def _of_archetype(archetype: Archetype, data: ScenarioData) -> Iterator[Problem]:
    path = f"archetypes/{archetype.id}.toml"
    works = (*archetype.existing, *archetype.wanted)
    for work in works:
        yield from _of_work(work, f"{path}: {work.role}", data.families, data.wirings)
    roles = [work.role for work in archetype.wanted]
    for name, sets in (("whole", archetype.whole), ("site", archetype.site)):
        for wanted in sets:
            yield from (unknown(f"{path}: {name}", role, roles, "role") for role in wanted if role not in roles)
    yield from _of_sections(archetype, path)
    every = [work.role for work in works]
    for role in sorted({role for role in every if every.count(role) > 1}):
        yield Problem(path=f"{path}: {role}", problem="this role stands twice")
    if 4 in archetype.levels and not archetype.whole:
        yield Problem(path=f"{path}: whole", problem="level 4 needs at least one [[whole]]")
    if 5 in archetype.levels and not archetype.site:
        yield Problem(path=f"{path}: site", problem="level 5 needs at least one [[site]]")
    for supply in archetype.supplies:
        if not any(supply.system in board.systems for board in archetype.boards):
            yield Problem(path=f"{path}: board", value=supply.system, problem="no board serves this supply")


def _of_sections(archetype: Archetype, path: str) -> Iterator[Problem]:
    """Special locations that follow from premises and places and are not named."""
    places = {work.location for work in (*archetype.existing, *archetype.wanted)}
    needed = {
        "701": Location.BATHROOM in places,
        "705": archetype.premises is Premises.AGRICULTURAL or Location.AGRICULTURAL_BUILDING in places,
        "708": Location.CARAVAN_PITCH in places,
    }
    for section, applies in needed.items():
        if applies and section not in archetype.special_locations:
            yield Problem(
                path=f"{path}: special_locations",
                problem=f"must name {section}: the premises or a place in it asks for it",
            )


def _of_work(work: Work, path: str, families: Mapping[str, Family], wirings: Mapping[str, Wiring]) -> Iterator[Problem]:
    yield from (unknown(path, name, families, "family") for name in work.families.values if name not in families)
    yield from (unknown(path, name, wirings, "wiring") for name in work.wiring.values if name not in wirings)


def _of_trap(trap: TrapSpec, data: ScenarioData) -> Iterator[Problem]:
    path = f"traps.toml: {trap.id}"
    if trap.misconception not in data.misconceptions:
        yield unknown(path, trap.misconception, data.misconceptions, "misconception")
    yield from (
        unknown(path, kind, data.decisions, "decision") for kind in trap.decisions if kind not in data.decisions
    )
    yield from (
        unknown(path, name, data.families, "family") for name in trap.wants.families if name not in data.families
    )
