"""Limits of one subject: see ``data/earthing.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthingLimits:
    """Values that the rules of this subject compare with."""
