"""What every explanation keeps to, whoever it is read for: how long it may be, and how a remedy begins."""

from __future__ import annotations

MOST_WORDS = 120
"""Happens and remedy of one finding together; the headline is a title."""

_VERBS = """
    Apply Ask Bond Choose Compare Connect Correct Count Disconnect Divide Do Drive Feed Find Fit Get Give Improve Judge
    Keep Leave Move Provide Put Read Run Set Spread Take Test Use Wire
"""
VERBS = frozenset(_VERBS.split())
