"""The line of a scenario file that a problem is about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from trainer.domain.errors import Problem

_STEP = re.compile(r"^([A-Za-z0-9_-]+)(?:\[(\d+)\])?$")


def with_lines(problems: Iterable[Problem], texts: Mapping[str, str]) -> tuple[Problem, ...]:
    """The problems, each with the line in its file, where the place can be found there."""
    return tuple(_with_line(each, texts) for each in problems)


def _with_line(problem: Problem, texts: Mapping[str, str]) -> Problem:
    name = next((each for each in sorted(texts, key=len, reverse=True) if problem.path.startswith(each)), None)
    if name is None or problem.problem.startswith("not TOML"):
        return problem
    line = line_of(texts[name], problem.path.removeprefix(name), None if problem.value is None else str(problem.value))
    return problem if line is None else replace(problem, path=f"{name}, line {line}{problem.path.removeprefix(name)}")


def line_of(text: str, place: str, value: str | None = None) -> int | None:
    """The number of the line of a place such as ``: wanted[2].families``, or of the value given there."""
    lines = text.splitlines()
    first, last, keys = _table(lines, _steps(place))
    inside = range(first, last)
    head = next((number for number in inside if lines[number].startswith("[")), last) if not first else last
    for key in keys:
        for number in inside:
            written = number < head and re.match(rf"\s*{re.escape(key)}\s*=", lines[number])
            if written or f'role = "{key}"' in lines[number]:
                return _with_value(lines, number, last, value)
    return _with_value(lines, first, last, value) if keys or first else _anywhere(lines, value)


def _steps(place: str) -> list[str]:
    return [part for part in re.split(r"[.:]\s*|\s", place) if part]


def _table(lines: list[str], steps: list[str]) -> tuple[int, int, list[str]]:
    """The lines of the table that the first steps name, and the steps that are left."""
    first, last = 0, len(lines)
    left = list(steps)
    name = ""
    while left:
        match = _STEP.match(left[0])
        if match is None:
            left.pop(0)
            continue
        name = f"{name}.{match[1]}" if name else match[1]
        starts = [n for n in range(first, last) if lines[n].strip() in (f"[{name}]", f"[[{name}]]")]
        wanted = int(match[2] or 0)
        if len(starts) <= wanted:
            break
        first = starts[wanted]
        last = starts[wanted + 1] if wanted + 1 < len(starts) else _end(lines, first, last, name)
        left.pop(0)
    return first, last, left


def _end(lines: list[str], first: int, last: int, name: str) -> int:
    """Where the next table that lies outside this one begins."""
    for number in range(first + 1, last):
        head = lines[number].strip()
        if head.startswith("[") and not head.strip("[]").startswith(f"{name}."):
            return number
    return last


def _with_value(lines: list[str], first: int, last: int, value: str | None) -> int:
    """The line at which the value stands, from a line on; that line itself where it does not."""
    if value:
        for number in range(first, last):
            if value in lines[number]:
                return number + 1
    return first + 1


def _anywhere(lines: list[str], value: str | None) -> int | None:
    if not value:
        return None
    return next((number for number, line in enumerate(lines, start=1) if value in line), None)
