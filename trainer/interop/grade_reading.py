"""Grades out of the JSON in which they are stored, as far as two of them can be compared."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trainer.domain.errors import Problem, TrainerError
from trainer.interop.problems import shown
from trainer.services.regrading.differences import Key, SaidDecision, SaidFinding, SaidGrade


class GradeError(TrainerError):
    """A stored grade that cannot be read."""


def said_grade(content: bytes) -> SaidGrade:
    """The grade in the bytes of its JSON. *Raises* GradeError."""
    try:
        document = json.loads(content)
    except ValueError as error:
        raise GradeError(Problem(path="", problem=f"not JSON: {error}")) from error
    return grade_from_json(document)


def grade_from_json(document: object) -> SaidGrade:
    """The grade that an object of the format holds. *Raises* GradeError, naming the part that is missing."""
    grade = _Part(document, "grade")
    findings = [_finding(each) for each in grade.parts("findings")]
    return SaidGrade(
        marks=grade.value("marks", int),
        marks_available=grade.value("marks_available", int),
        safe_to_energise=grade.value("safe_to_energise", bool),
        decisions=tuple(_decision(each, [finding.key for finding in findings]) for each in grade.parts("decisions")),
        findings={each.key: each for each in findings},
    )


@dataclass(frozen=True, slots=True)
class _Part:
    """A table of the document, and where it stands."""

    content: object
    path: str

    def value(self, name: str, *kinds: type) -> Any:
        """A value of one of the kinds. *Raises* GradeError."""
        table = self.content if isinstance(self.content, Mapping) else {}
        value = table.get(name)
        if name not in table or not isinstance(value, kinds):
            problem = "missing or of another kind than a grade has"
            given = shown(value) if name in table else None
            raise GradeError(Problem(path=f"{self.path}.{name}", problem=problem, value=given))
        return value

    def parts(self, name: str) -> list[_Part]:
        """The tables of a list. *Raises* GradeError."""
        return [_Part(each, f"{self.path}.{name}[{n}]") for n, each in enumerate(self.value(name, list))]

    def part(self, name: str) -> _Part:
        """A table within this one. *Raises* GradeError."""
        return _Part(self.value(name, dict), f"{self.path}.{name}")


def _finding(part: _Part) -> SaidFinding:
    citation = part.part("citation")
    return SaidFinding(
        rule=part.value("rule", str),
        subject=part.value("subject", str),
        outcome=part.value("outcome", str),
        value=part.value("value", int, float, str, type(None)),
        limit=part.value("limit", int, float, str, type(None)),
        unit=part.value("unit", str),
        source=f"{citation.value('publication', str)}, {citation.value('clause', str)}",
    )


def _decision(part: _Part, keys: Sequence[Key]) -> SaidDecision:
    places = part.value("findings", list)
    return SaidDecision(
        id=part.value("id", str),
        chosen=part.value("chosen", str),
        marks=part.value("marks", int),
        marks_available=part.value("marks_available", int),
        findings=frozenset(keys[place] for place in places if isinstance(place, int) and 0 <= place < len(keys)),
    )
