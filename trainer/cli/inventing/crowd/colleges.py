"""Colleges of a crowd: groups that sit their own papers, and in the largest one paper for many groups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import count
from typing import Any

from trainer.cli.inventing.crowd import sheaves
from trainer.cli.inventing.crowd.copier import Change, Copier
from trainer.cli.inventing.crowd.pattern import Pattern
from trainer.cli.inventing.crowd.people import Crowd

TOGETHER = 20
"""Groups that sit one paper together; one lecturer teaches them."""
_GROUPS_OF_A_LECTURER = 4
_RUNNING_IN_ONE_OF = 8
_BETWEEN_ROUNDS = timedelta(days=150)
_NAMES = ("Aldermoor", "Brackenhithe", "Castlewick", "Dunmarsh", "Eastonby")
_PRIME, _NUMBERS, _FIRST = 7919, 90_000, 10_000


@dataclass(kw_only=True)
class Colleges:
    """Makes colleges of a pattern."""

    pattern: Pattern
    crowd: Crowd
    rounds: int
    _group_numbers: Any = field(default_factory=lambda: count(1))

    def __post_init__(self) -> None:
        """The sheaves are picked once."""
        pattern = self.pattern
        self._college = sheaves.college(pattern)
        self._lecturer = sheaves.member(pattern, pattern.lecturer)
        self._group = sheaves.group(pattern)
        names = (*pattern.finished, pattern.running)
        self._papers = {each: sheaves.paper(pattern, each) for each in names}
        self._sat = {each: sheaves.sat(pattern, each) for each in names}

    @property
    def _copier(self) -> Copier:
        return self.crowd.copier

    def make(self, number: int, groups: int) -> None:
        """A college with that many groups; the accounts with known names are in the first."""
        first = number == 0
        ids = self._copier.copy(
            self._college, {}, self._long_ago, {"organisation": _named(f"{_NAMES[number]} College (invented)")}
        )
        administrator = self.crowd.changes(signs_in_as="administrator" if first else None, practises=False)
        self._copier.copy(self._lecturer, ids, self._long_ago, {**administrator, "member_role": _as("administrator")})
        together: dict[str, str] = {}
        lecturer: dict[str, str] = {}
        for at in range(groups):
            if _wants_lecturer(at, together=first):
                name = "lecturer" if first and at == 0 else None
                lecturer = self._copier.copy(
                    self._lecturer, ids, self._long_ago, self.crowd.changes(signs_in_as=name, practises=False)
                )
            if first and at == 0:
                together = self._copier.copy(
                    self._papers[self.pattern.finished[0]], lecturer, timedelta(), {"paper": _titled("The whole year")}
                )
            self._group_of(lecturer, together if first and at < TOGETHER else {}, at, first=first)
            self._copier.bulk.settle()

    @property
    def _long_ago(self) -> timedelta:
        return -self.rounds * _BETWEEN_ROUNDS

    def _group_of(self, lecturer: Mapping[str, str], together: Mapping[str, str], at: int, *, first: bool) -> None:
        copier, pattern = self._copier, self.pattern
        changes = self.crowd.changes(signs_in_as="learner" if first and at == 0 else None)
        named = {**changes, "study_group": _named(f"Group {next(self._group_numbers)} (invented)")}
        ids = copier.copy(self._group, lecturer, self._long_ago, named)
        for each in range(self.rounds):
            shift = -each * _BETWEEN_ROUNDS - timedelta(hours=copier.draws.uniform(0, 72))
            for paper_id in pattern.finished:
                shared = bool(together) and each == 0 and paper_id == pattern.finished[0]
                if shared:
                    # Under the ids of the paper that is there already, with numbers that no other group has.
                    known = {**ids, paper_id: together[paper_id]}
                    copier.copy(self._sat[paper_id], known, timedelta(), {"sitting": self._candidates(at)})
                else:
                    self._paper(ids, paper_id, shift)
        if at % _RUNNING_IN_ONE_OF == 0:
            self._paper(ids, pattern.running, timedelta())

    def _paper(self, ids: Mapping[str, str], paper_id: str, shift: timedelta) -> None:
        known = self._copier.copy(self._papers[paper_id], ids, shift)
        self._copier.copy(self._sat[paper_id], known, shift)

    def _candidates(self, group: int) -> Change:
        numbers = count(group * 1000)

        def change(place: Mapping[str, int], row: list[Any]) -> None:
            row[place["candidate_number"]] = str(_FIRST + next(numbers) * _PRIME % _NUMBERS)

        return change


def _wants_lecturer(at: int, *, together: bool) -> bool:
    """The lecturer of the groups that sit one paper together teaches them all, and then one for each few."""
    if together and at < TOGETHER:
        return at == 0
    return at % _GROUPS_OF_A_LECTURER == 0


def _named(name: str) -> Change:
    def change(place: Mapping[str, int], row: list[Any]) -> None:
        row[place["name"]] = name

    return change


def _titled(title: str) -> Change:
    def change(place: Mapping[str, int], row: list[Any]) -> None:
        row[place["title"]] = title

    return change


def _as(role: str) -> Change:
    def change(place: Mapping[str, int], row: list[Any]) -> None:
        row[place["role"]] = role

    return change
