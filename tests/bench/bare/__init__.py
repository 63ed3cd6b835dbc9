"""The conditions of the rule book as plain functions: true, false, or None where there is nothing to judge.

They are what one would write without findings: no value beside its limit, no case, no citation, no
word on what is missing. Each asks what its rule asks of a single-phase house in TN whose facts are
all stated; what only other houses are asked is left out, so the comparison errs against the rules.
Both call the same calculations.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tests.bench.bare import circuits, devices, equipment, wholes
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

Condition = Callable[[Any, Installation, Limits], bool | None]

CONDITIONS: Mapping[str, Mapping[str, Condition]] = {
    "devices": devices.CONDITIONS,
    "circuits": circuits.CONDITIONS,
    "equipment": equipment.CONDITIONS,
    "boards": wholes.BOARD_CONDITIONS,
}


def hold(house: Installation, limits: Limits) -> list[tuple[str, str, bool]]:
    """Which conditions hold: the rule's id, the record's, and the answer."""
    found = []
    for collection, conditions in CONDITIONS.items():
        records = getattr(house, collection).values()
        for rule_id, condition in conditions.items():
            for record in records:
                answer = condition(record, house, limits)
                if answer is not None:
                    found.append((rule_id, record.id, answer))
    for rule_id, condition in wholes.CONDITIONS.items():
        answer = condition(house, house, limits)
        if answer is not None:
            found.append((rule_id, "installation", answer))
    return found
