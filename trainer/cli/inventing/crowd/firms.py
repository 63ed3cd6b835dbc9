"""Firms of a crowd: squads of people in several refresher programmes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from trainer.cli.inventing.crowd import sheaves
from trainer.cli.inventing.crowd.layout import PROGRAMMES
from trainer.cli.inventing.crowd.pattern import Pattern
from trainer.cli.inventing.crowd.people import Crowd

_NAMES = ("Wexcombe Electrical", "Farrowdale Power", "Greystoke Wiring", "Highmere Energy", "Ivelbridge Services")
_APART = timedelta(days=20)


@dataclass(kw_only=True)
class Firms:
    """Makes firms of a pattern."""

    pattern: Pattern
    crowd: Crowd

    def __post_init__(self) -> None:
        """The sheaves are picked once."""
        pattern = self.pattern
        self._firm = sheaves.firm(pattern)
        self._manager = sheaves.member(pattern, pattern.manager)
        self._squad = sheaves.squad(pattern)
        self._programme = sheaves.programme(pattern)
        self._refreshed = sheaves.refreshed(pattern)

    def make(self, number: int, squads: int) -> None:
        """A firm with that many squads; the accounts with known names are in the first."""
        copier, now = self.crowd.copier, timedelta()

        def name(place: Mapping[str, int], row: list[Any]) -> None:
            row[place["name"]] = f"{_NAMES[number]} (invented)"

        first = number == 0
        ids = copier.copy(self._firm, {}, now, {"organisation": name})
        manager = self.crowd.changes(signs_in_as="manager" if first else None, practises=False)
        ids = copier.copy(self._manager, ids, now, manager)
        programmes = [copier.copy(self._programme, ids, -each * _APART) for each in range(PROGRAMMES)]
        for at in range(squads):
            changes = self.crowd.changes(signs_in_as="fitter" if first and at == 0 else None)
            people = copier.copy(self._squad, ids, now, changes)
            for each, programme in enumerate(programmes):
                # Those who are late in one are late in all, each by some weeks.
                known = {**programme, **people}
                copier.copy(self._refreshed, known, -each * _APART, self.crowd.record_changes)
            copier.bulk.settle()
