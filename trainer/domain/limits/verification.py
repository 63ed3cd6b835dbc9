"""Limits of one subject: see ``data/verification.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class VerificationLimits:
    """Values that the rules of this subject compare with."""
