"""What the tests of OC-01 to OC-07 share: the terms of a verdict, and supplies with a stated impedance."""

from __future__ import annotations

from typing import Any

from tests.domain.houses import everyday_supply
from trainer.domain.findings import Verdict


def terms(verdict: Verdict) -> dict[str, float]:
    """The parts of a verdict's value, by name."""
    return {t.name: t.value for t in (verdict.terms() if callable(verdict.terms) else verdict.terms)}


def at_impedance(ze: float) -> Any:
    """A supply after which 20 m of 2.5/1.5 mm2 flat add 0.46824 ohm by hand."""
    return everyday_supply(external_earth_fault_loop_impedance_ohm=ze)
