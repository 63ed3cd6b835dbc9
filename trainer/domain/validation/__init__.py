"""Validation at the door: an installation is believed only when nothing in it contradicts itself."""

from __future__ import annotations

from trainer.domain.errors import InstallationError, Problem
from trainer.domain.installation import Installation
from trainer.domain.validation.circuits import circuit_problems
from trainer.domain.validation.devices import device_problems
from trainer.domain.validation.draft import Draft
from trainer.domain.validation.equipment import equipment_problems
from trainer.domain.validation.keywords import keyword_problems
from trainer.domain.validation.tree import tree_problems
from trainer.domain.validation.values import value_problems

__all__ = ["Draft", "problems_in", "validated"]

_RELATIONS = (tree_problems, device_problems, circuit_problems, equipment_problems)


def problems_in(draft: Draft, *, relations: bool = True) -> list[Problem]:
    """Every problem of a draft, the first one at each place only.

    Without ``relations`` each value is judged by itself: for a draft that lacks whole parts.
    """
    found: dict[str, Problem] = {}
    for check in (value_problems, keyword_problems, *(_RELATIONS if relations else ())):
        for problem in check(draft):
            found.setdefault(problem.path, problem)
    return list(found.values())


def validated(house: Installation) -> Installation:
    """The same installation, when nothing in it contradicts itself.

    *Raises* InstallationError with every problem found.
    """
    problems = problems_in(Draft.of(house))
    if problems:
        raise InstallationError(*problems)
    return house
