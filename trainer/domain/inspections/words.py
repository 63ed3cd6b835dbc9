"""The words and observations of inspections, read from ``inspections.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from trainer.domain.errors import Problem, TrainerError, unknown
from trainer.domain.inspections.codes import Code
from trainer.domain.vocabulary import Consequence

FORMAT = "protection-trainer/inspections"
FORMAT_VERSION = 1
PLACES = (
    *("board", "way", "outlets", "lighting", "earthing", "bonding"),
    *("charger", "detecting_charger", "pv", "array", "battery"),
)
"""Where something can be observed: a board, a way of it, one with outlets or luminaires, equipment, the origin."""


class InspectionDataError(TrainerError):
    """Words or observations that cannot be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """Something seen that no rule judges: where, in which words, its code, why, and what is at stake.

    ``also`` are further codes that are accepted, where careful inspectors part.
    """

    id: str
    place: str
    seen: str
    code: Code
    why: str
    consequence: Consequence
    objectives: tuple[str, ...]
    also: tuple[Code, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionWords:
    """All texts of an inspection. ``aspects`` name what a decision is about, by the end of its id."""

    title: str
    stories: tuple[str, ...]
    sheet: str
    sheet_note: str
    found: str
    seen: str
    illegible: str
    codes: Mapping[str, str]
    aspects: Mapping[str, str]
    reasons: Mapping[str, str]
    wrongs: Mapping[str, str]
    first: str
    actions: Mapping[str, str]
    action_reasons: Mapping[str, str]
    observations: tuple[Observation, ...]


_TEXTS = ("title", "sheet", "sheet_note", "found", "seen", "illegible", "first")
_TABLES = ("codes", "aspects", "reasons", "wrongs", "actions", "action_reasons")
_EVERY_CODE = ("codes", "actions", "action_reasons")


def read_words(data: Mapping[str, Any], file: str = "inspections.toml") -> InspectionWords:
    """The words in the parsed file. *Raises* InspectionDataError with every problem."""
    problems: list[Problem] = []
    if data.get("format") != FORMAT or data.get("format_version") != FORMAT_VERSION:
        problems.append(Problem(path=f"{file}: format", problem=f"must be {FORMAT}, version {FORMAT_VERSION}"))
    missing = [name for name in _TEXTS if not _is_text(data.get(name))]
    problems += [Problem(path=f"{file}: {name}", problem="must be a text") for name in missing]
    for name in _TABLES:
        problems += _table_problems(data.get(name), f"{file}: {name}", tuple(Code) if name in _EVERY_CODE else ())
    stories = data.get("stories")
    if not isinstance(stories, list) or not stories or not all(isinstance(each, str) for each in stories):
        problems.append(Problem(path=f"{file}: stories", problem="must be a list of texts"))
    observations = [
        _observation(each, f"{file}: observation[{number}]", problems)
        for number, each in enumerate(data.get("observation", []))
    ]
    if problems:
        raise InspectionDataError(*problems)
    values = {each.name: data[each.name] for each in fields(InspectionWords) if each.name in data}
    values["stories"] = tuple(data["stories"])
    return InspectionWords(**values, observations=tuple(each for each in observations if each is not None))


def _table_problems(table: Any, path: str, needed: tuple[str, ...]) -> list[Problem]:
    if not isinstance(table, Mapping):
        return [Problem(path=path, problem="must be a table of texts")]
    problems = [Problem(path=f"{path}.{name}", problem="must be a text") for name in table if not _is_text(table[name])]
    return problems + [Problem(path=f"{path}.{name}", problem="missing") for name in needed if name not in table]


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _observation(data: Any, path: str, problems: list[Problem]) -> Observation | None:
    """One observation, or None with the problems noted."""
    before = len(problems)
    if not isinstance(data, Mapping):
        problems.append(Problem(path=path, problem="must be a table"))
        return None
    names = ("id", "place", "seen", "code", "why", "consequence")
    missing = [name for name in names if not _is_text(data.get(name))]
    problems += [Problem(path=f"{path}.{name}", problem="must be a text") for name in missing]
    for name, possible in (("place", PLACES), ("code", tuple(Code)), ("consequence", tuple(Consequence))):
        value = data.get(name)
        if _is_text(value) and value not in possible:
            problems.append(unknown(f"{path}.{name}", str(value), possible, name))
    also = data.get("also", [])
    if not isinstance(also, list) or not all(each in tuple(Code) for each in also):
        problems.append(Problem(path=f"{path}.also", value=str(also), problem="must be a list of codes"))
    if len(problems) > before:
        return None
    return Observation(
        **{name: data[name] for name in ("id", "place", "seen", "why")},
        code=Code(data["code"]),
        consequence=Consequence(data["consequence"]),
        objectives=tuple(data.get("objectives", ("LO48",))),
        also=tuple(Code(each) for each in also),
    )
