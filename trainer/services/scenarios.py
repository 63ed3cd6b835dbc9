"""Scenario data from the program's own folder, and tasks made of it."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from trainer.domain.errors import Problem
from trainer.domain.generator.assemble import SINGLE_FILES, ScenarioDataError, scenario_data
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.generate import generate
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Task
from trainer.resources import folder

_FOLDERS = ("archetypes", "equipment")


@cache
def scenarios() -> ScenarioData:
    """The scenario data that comes with the program, read once. *Raises* ScenarioDataError."""
    return read_folder(folder("scenarios"))


def read_folder(place: Path) -> ScenarioData:
    """The scenario data of a folder. *Raises* ScenarioDataError with every problem found."""
    files = [place / name for name in SINGLE_FILES if (place / name).is_file()]
    for name in _FOLDERS:
        files += sorted((place / name).glob("*.toml"))
    problems: list[Problem] = []
    tables: dict[str, dict[str, Any]] = {}
    for file in files:
        name = file.relative_to(place).as_posix()
        try:
            tables[name] = tomllib.loads(file.read_text("utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            problems.append(Problem(path=name, problem=f"not TOML: {error}"))
    if problems:
        raise ScenarioDataError(*problems)
    return scenario_data(tables)


def make_task(request: TaskRequest) -> Task:
    """A task from the program's own scenario data."""
    return generate(request, scenarios())
