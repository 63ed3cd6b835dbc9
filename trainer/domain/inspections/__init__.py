"""Boards that stand already: faults to find and to code."""
