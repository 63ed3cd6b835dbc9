"""Findings put into words."""
