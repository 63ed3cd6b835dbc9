"""All families of questions, and which of them exercise a rule or an objective."""

from __future__ import annotations

from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.families import ALL_FAMILIES

__all__ = ["ALL_FAMILIES", "Family", "families_for_objective", "families_for_rule", "family", "family_of"]

_BY_ID = {each.id: each for each in ALL_FAMILIES}


def family_of(family_id: str) -> Family:
    """The family of an id. *Raises* KeyError."""
    return _BY_ID[family_id]


def families_for_rule(rule_id: str) -> tuple[Family, ...]:
    """The families whose answers rest on a rule."""
    return tuple(each for each in ALL_FAMILIES if rule_id in each.rules)


def families_for_objective(objective_id: str) -> tuple[Family, ...]:
    """The families that exercise an objective."""
    return tuple(each for each in ALL_FAMILIES if objective_id in each.objectives)
