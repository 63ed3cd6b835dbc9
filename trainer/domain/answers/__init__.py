"""Decisions, proposals, acceptable answers, the least change, and marking."""
