"""How a rule is written down, and how all rules judge one installation."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from typing import Any

from trainer.domain.citations import Citation, Status
from trainer.domain.findings import Finding, Verdict
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition

RuleFunction = Callable[[Any, Installation, Limits], Verdict | None]


class Over(StrEnum):
    """The records of an installation that a rule judges one by one."""

    DEVICES = "devices"
    CIRCUITS = "circuits"
    EQUIPMENT = "equipment"
    BOARDS = "boards"
    INSTALLATION = "installation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: its function, what it judges, what is at stake, and where it is stated.

    ``statement`` is the docstring's first line; ``why``, ``remedy``, ``assumes`` and
    ``formula`` its headed parts.
    """

    id: str
    name: str
    judge: RuleFunction
    over: Over
    consequence: Consequence
    statement: str
    why: str
    remedy: str
    assumes: str
    formula: str
    citation: Citation
    iec: str
    editions: frozenset[Edition]
    objectives: tuple[str, ...]


class RuleDefinitionError(Exception):
    """A rule that lacks its docstring headings or its citation: a fault of the program."""


@cache
def _sources() -> Mapping[str, Any]:
    """All entries of the files in ``citations/``, by rule id."""
    entries: dict[str, Any] = {}
    folder = resources.files("trainer.domain.rules").joinpath("citations")
    for file in sorted(folder.iterdir(), key=lambda each: each.name):
        if file.name.endswith(".toml"):
            for rule_id, entry in tomllib.loads(file.read_text("utf-8")).items():
                if rule_id in entries:
                    raise RuleDefinitionError(f"{rule_id}: cited twice")
                entries[rule_id] = entry
    return entries


def rule(
    rule_id: str,
    *,
    over: Over,
    consequence: Consequence,
    objectives: Sequence[str],
) -> Callable[[RuleFunction], Rule]:
    """Turn a function of (subject, installation, limits) into a Rule.

    The function returns None where it does not apply to the subject. The citation stands in
    ``citations/*.toml`` under the rule's id. *Raises* RuleDefinitionError.
    """

    def wrap(function: RuleFunction) -> Rule:
        parts = _docstring_parts(function.__doc__ or "", rule_id)
        entry = _source(rule_id)
        return Rule(
            id=rule_id,
            name=function.__name__,
            judge=function,
            over=over,
            consequence=consequence,
            statement=parts["statement"],
            why=parts["Why"],
            remedy=parts["Remedy"],
            assumes=parts.get("Assumes", ""),
            formula=parts.get("Formula", ""),
            citation=_citation(entry, rule_id),
            iec=entry.get("iec", ""),
            editions=frozenset(Edition(e) for e in entry.get("editions", list(Edition))),
            objectives=tuple(objectives),
        )

    return wrap


def _source(rule_id: str) -> Mapping[str, Any]:
    entry = _sources().get(rule_id)
    if entry is None:
        raise RuleDefinitionError(f"{rule_id}: no entry in citations/*.toml")
    return entry  # type: ignore[no-any-return]


def _citation(entry: Mapping[str, Any], rule_id: str) -> Citation:
    try:
        return Citation(
            publication=entry["publication"],
            clause=entry["clause"],
            status=Status(entry["status"]),
            edition=entry.get("seen_in"),
            checked_on=entry.get("checked_on"),
            note=entry.get("note", ""),
        )
    except (KeyError, ValueError) as error:
        raise RuleDefinitionError(f"{rule_id}: citation lacks or misspells {error}") from error


_HEADINGS = ("Why", "Remedy", "Assumes", "Formula")


def _docstring_parts(text: str, rule_id: str) -> dict[str, str]:
    """The statement and the headed paragraphs of a rule's docstring."""
    lines = [line.strip() for line in text.strip().splitlines()]
    parts: dict[str, list[str]] = {"statement": []}
    current = "statement"
    for line in lines:
        heading, colon, rest = line.partition(":")
        if colon and heading in _HEADINGS:
            current = heading
            parts[current] = [rest.strip()]
        elif line:
            parts[current].append(line)
    for needed in ("statement", "Why", "Remedy"):
        if not parts.get(needed):
            raise RuleDefinitionError(f"{rule_id}: docstring lacks {needed}")
    return {heading: " ".join(words) for heading, words in parts.items()}


def subjects(house: Installation, over: Over) -> Iterator[tuple[str, Any]]:
    """The records that a rule judges, each with its path."""
    if over is Over.INSTALLATION:
        yield "installation", house
        return
    for key, record in getattr(house, over.value).items():
        yield f"{over.value}.{key}", record


def cases(house: Installation, rules: Iterable[Rule]) -> Iterator[tuple[Rule, str, Any]]:
    """Every rule with every record that it judges and its path; the paths are written once, not for each rule."""
    known: dict[Over, tuple[tuple[str, Any], ...]] = {}
    for each in rules:
        records = known.get(each.over)
        if records is None:
            records = known[each.over] = tuple(subjects(house, each.over))
        for path, record in records:
            yield each, path, record


def judge(
    house: Installation,
    rules: Sequence[Rule],
    edition: Edition = DEFAULT_EDITION,
) -> list[Finding]:
    """All findings of the given rules on an installation, in the order of the rules."""
    limits = limits_for(edition)
    findings: list[Finding] = []
    for each, path, record in cases(house, [each for each in rules if edition in each.editions]):
        verdict = each.judge(record, house, limits)
        if verdict is not None:
            findings.append(Finding(each, path, verdict))
    return findings
