"""Limits of one subject: see ``data/overcurrent.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OvercurrentLimits:
    """Values that the rules of this subject compare with."""
