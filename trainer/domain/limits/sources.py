"""Limits of one subject: see ``data/sources.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLimits:
    """Values that the rules of this subject compare with."""
