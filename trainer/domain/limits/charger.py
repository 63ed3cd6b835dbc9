"""Limits of one subject: see ``data/charger.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargerLimits:
    """Values that the rules of this subject compare with."""
