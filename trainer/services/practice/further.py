"""What to practise next on the point that was missed: one short question."""

from __future__ import annotations

from collections.abc import Collection

from trainer.domain.questions.defining import Family
from trainer.domain.questions.families import ALL_FAMILIES


def question_on(
    misconception: str | None, rules: Collection[str], objectives: Collection[str], level: int = 1
) -> Family | None:
    """The family of questions nearest to a missed point, or None where none touches it.

    One that answers the misconception comes first, then one that rests on the same rules, then one with the same
    objectives; among equals the one nearest to the level of the task that was missed, then the first listed.
    """

    def nearness(family: Family) -> tuple[bool, int, int, int]:
        shared_rules = len(set(family.rules) & set(rules))
        shared = len(set(family.objectives) & set(objectives))
        return misconception in family.misconceptions, min(shared_rules, 1), shared, -abs(family.level - level)

    best = max(ALL_FAMILIES, key=nearness, default=None)
    return best if best is not None and any(nearness(best)[:3]) else None
