"""Closed lists of the plan."""

from __future__ import annotations

from enum import StrEnum


class Rating(StrEnum):
    """How well an objective was met on one occasion."""

    AGAIN = "again"
    HARD = "hard"
    GOOD = "good"
    EASY = "easy"


class Why(StrEnum):
    """Why an objective is offered."""

    MISSED = "missed"
    DUE = "due"
    NEW = "new"
    WEAK = "weak"


class Sureness(StrEnum):
    """How far an estimate can be relied on."""

    NONE = "none"
    LITTLE = "little"
    SOME = "some"
    GOOD = "good"
