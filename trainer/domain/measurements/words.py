"""The words of measurement tasks and their functional tests, read from ``measurements.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from trainer.domain.errors import Problem, TrainerError, unknown

FORMAT = "protection-trainer/measurements"
FORMAT_VERSION = 1
PLACES = ("residual_device", "detecting_charger", "open_pen_charger", "source", "outlets")
"""What a functional test can be about."""


class MeasurementDataError(TrainerError):
    """Words or functional tests that cannot be used."""


class Judgement(StrEnum):
    """What is said of one reading."""

    ACCEPT = "accept"
    LOOK = "look"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionTest:
    """A functional test with an outcome in words."""

    id: str
    place: str
    seen: str
    judgement: Judgement
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementWords:
    """All texts of a measurement task."""

    title: str
    sheet: str
    sheet_note: str
    stories: tuple[str, ...]
    quantities: Mapping[str, str]
    judgements: Mapping[str, str]
    reasons: Mapping[str, str]
    wrongs: Mapping[str, str]
    limit_question: Mapping[str, str]
    expected_question: Mapping[str, str]
    functions: tuple[FunctionTest, ...]


_TEXTS = ("title", "sheet", "sheet_note")
_TABLES: Mapping[str, tuple[str, ...]] = {
    "quantities": ("external", "continuity", "loop", "break_time", "insulation", "electrode", "function"),
    "judgements": tuple(Judgement),
    "reasons": (
        *Judgement,
        "loop_look",
        "loop_above",
        "break_time_quick",
        *(f"electrode_{each}" for each in Judgement),
    ),
    "wrongs": tuple(f"{right}_{given}" for right in Judgement for given in Judgement if given is not right),
    "limit_question": ("question", "why", "table_itself", "twice", "curve"),
    "expected_question": ("question", "why", "without_supply", "twice_supply"),
}


def read_words(data: Mapping[str, Any], file: str = "measurements.toml") -> MeasurementWords:
    """The words in the parsed file. *Raises* MeasurementDataError with every problem."""
    problems: list[Problem] = []
    if data.get("format") != FORMAT or data.get("format_version") != FORMAT_VERSION:
        problems.append(Problem(path=f"{file}: format", problem=f"must be {FORMAT}, version {FORMAT_VERSION}"))
    problems += [
        Problem(path=f"{file}: {name}", problem="must be a text") for name in _TEXTS if not _is_text(data.get(name))
    ]
    for name, needed in _TABLES.items():
        table = data.get(name)
        given = table if isinstance(table, Mapping) else {}
        problems += [
            Problem(path=f"{file}: {name}.{key}", problem="must be a text")
            for key in needed
            if not _is_text(given.get(key))
        ]
    stories = data.get("stories")
    if not isinstance(stories, list) or not stories or not all(_is_text(each) for each in stories):
        problems.append(Problem(path=f"{file}: stories", problem="must be a list of texts"))
    functions = [
        _function(each, f"{file}: function[{number}]", problems) for number, each in enumerate(data.get("function", []))
    ]
    if problems:
        raise MeasurementDataError(*problems)
    return MeasurementWords(
        **{name: data[name] for name in (*_TEXTS, *_TABLES)},
        stories=tuple(data["stories"]),
        functions=tuple(each for each in functions if each is not None),
    )


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _function(data: Any, path: str, problems: list[Problem]) -> FunctionTest | None:
    before = len(problems)
    item = data if isinstance(data, Mapping) else {}
    names = ("id", "place", "seen", "judgement", "why")
    missing = [name for name in names if not _is_text(item.get(name))]
    problems += [Problem(path=f"{path}.{name}", problem="must be a text") for name in missing]
    for name, possible in (("place", PLACES), ("judgement", tuple(Judgement))):
        value = item.get(name)
        if _is_text(value) and value not in possible:
            problems.append(unknown(f"{path}.{name}", str(value), possible, name))
    if len(problems) > before:
        return None
    texts = {name: item[name] for name in ("id", "place", "seen", "why")}
    return FunctionTest(**texts, judgement=Judgement(item["judgement"]))
