"""Rows of what a verdict carries: a rule on a house, and the unit, related records and terms of one subject."""

from __future__ import annotations

from typing import Any

from tests.domain.houses import (
    cable,
    circuit,
    everyday_supply,
    house,
    verdicts,
)
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES

BY_ID = {rule.id: rule for rule in ALL_RULES}

Carried = tuple[str, Installation, str, str, str, tuple[str, ...], tuple[tuple[str, str], ...]]

FACTORS = (
    ("tabulated_rating", "A"),
    ("ambient_factor", ""),
    ("grouping_factor", ""),
    ("insulation_factor", ""),
    ("buried_factor", ""),
)
FAULT = (("fault_current", "A"), ("energy", "A2s"))


def wired(
    device: Any, *records: Any, run: Any = None, circuit_facts: dict[str, Any] | None = None, **facts: Any
) -> Any:
    """A house with one circuit ``c`` behind a device ``b``."""
    return house(device, circuit("c", "b", **({"cable": run or cable()} | (circuit_facts or {}))), *records, **facts)


def with_fault_current(ka: float, **facts: Any) -> Any:
    """A supply with a stated prospective fault current."""
    return everyday_supply(prospective_fault_current_ka=ka, **facts)


def name_of(each: Carried) -> str:
    """The row as pytest shows it."""
    return f"{each[0]}-{each[3]}"


def check_carried(each: Carried) -> None:
    """The verdict has the case, unit, related records and terms of the row."""
    rule_id, home, subject, case, unit, related, terms = each
    verdict = verdicts(BY_ID[rule_id], home)[subject]
    spelt_out = verdict.terms() if callable(verdict.terms) else verdict.terms
    assert verdict.case == case
    assert verdict.unit == unit
    assert verdict.related == related
    assert tuple((term.name, term.unit) for term in spelt_out) == terms
