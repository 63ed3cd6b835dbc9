"""Scenario data from the program's own folder, and tasks made of it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from trainer.domain.errors import Problem, TrainerError, UnknownNameError, unknown
from trainer.domain.generator.assemble import SINGLE_FILES, ScenarioDataError, scenario_data
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.generate import generate, make
from trainer.domain.generator.request import TaskRequest
from trainer.domain.generator.trial import Trial
from trainer.domain.inspections.making import make_inspection
from trainer.domain.inspections.words import InspectionWords
from trainer.domain.inspections.words import read_words as read_inspection_words
from trainer.domain.measurements.making import make_measurement
from trainer.domain.measurements.words import MeasurementWords
from trainer.domain.measurements.words import read_words as read_measurement_words
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.making import make_question
from trainer.domain.tasks import Task, TaskKind
from trainer.resources import folder
from trainer.services.data_lines import with_lines
from trainer.services.practice.drawing import draw_for


class StaleTaskError(TrainerError):
    """A task of another version of the program that needs what only its own version can make."""


_FOLDERS = ("archetypes", "equipment", "questions")


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
    texts: dict[str, str] = {}
    for file in files:
        name = file.relative_to(place).as_posix()
        try:
            texts[name] = file.read_text("utf-8")
            tables[name] = tomllib.loads(texts[name])
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            problems.append(Problem(path=name, problem=f"not TOML: {error}"))
    if problems:
        raise ScenarioDataError(*problems)
    try:
        return scenario_data(tables)
    except ScenarioDataError as error:
        raise ScenarioDataError(*with_lines(error.problems, texts)) from error


def make_task(request: TaskRequest) -> Task:
    """A task from the program's own scenario data. *Raises* TrainerError."""
    maker = _MAKERS[kind_named(request.kind)]
    if request.objectives:
        return draw_for(request, scenarios(), maker)
    return maker(request)


def make_judged(request: TaskRequest) -> tuple[Task, Trial | None]:
    """A task as ``make_task`` gives it; one to choose with its house as the rules judged it. *Raises* TrainerError."""
    if kind_named(request.kind) is TaskKind.CHOOSE and not request.objectives:
        made = make(request, scenarios())
        return made.task, made.trial
    return make_task(request), None


def kind_named(name: str) -> TaskKind:
    """The kind of task of that name. *Raises* UnknownNameError for one that is not made here."""
    kinds = [kind.value for kind in _MAKERS]
    if name not in kinds:
        raise UnknownNameError(unknown("kind", name, kinds, "kind of task"))
    return TaskKind(name)


def with_key(task: Task) -> Task:
    """A task that asks, with its key: its own, or made again where it was delivered without.

    *Raises* StaleTaskError where this program would make another task of the seed.
    """
    if not task.asks or task.key.asks:
        return task
    family = task.archetype if task.kind is TaskKind.QUESTION else None
    archetype = None if family else task.archetype
    again = make_task(TaskRequest(seed=task.seed, level=task.level, archetype=archetype, kind=task.kind, family=family))
    if again.asks != task.asks:
        raise StaleTaskError(
            Problem(
                path="key",
                value=f"generator {task.generator_version}, rule set {task.rule_set_version}",
                problem="the task came without its key, and this program would ask something else for its seed; "
                "use the file that was made with its key",
            )
        )
    return again


def _choose(request: TaskRequest) -> Task:
    return generate(request, scenarios())


def _inspect(request: TaskRequest) -> Task:
    return make_inspection(request, scenarios(), inspection_words())


@cache
def inspection_words() -> InspectionWords:
    """The words and observations of inspections, read once. *Raises* InspectionDataError."""
    return read_inspection_words(_parsed("inspections.toml"))


def _question(request: TaskRequest) -> Task:
    return make_question(request.seed, scenarios(), family=request.family, level=_level_of_question(request))


def _level_of_question(request: TaskRequest) -> int | None:
    """The level of families to draw from: the one asked for, or the nearest below that has any."""
    if request.family:
        return None
    having = {each.level for each in ALL_FAMILIES}
    return max((level for level in having if level <= request.level), default=min(having))


def _measure(request: TaskRequest) -> Task:
    return make_measurement(request, scenarios(), measurement_words())


@cache
def measurement_words() -> MeasurementWords:
    """The words and functional tests of measurements, read once. *Raises* MeasurementDataError."""
    return read_measurement_words(_parsed("measurements.toml"))


def _parsed(name: str) -> dict[str, Any]:
    """A file of the program's own scenario data. *Raises* ScenarioDataError where it is not TOML."""
    try:
        return tomllib.loads((folder("scenarios") / name).read_text("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ScenarioDataError(Problem(path=name, problem=f"not TOML: {error}")) from error


_MAKERS: dict[TaskKind, Callable[[TaskRequest], Task]] = {
    TaskKind.CHOOSE: _choose,
    TaskKind.INSPECT: _inspect,
    TaskKind.MEASURE: _measure,
    TaskKind.QUESTION: _question,
}
"""Who makes the tasks of each kind."""
