"""Sittings, saved answers and gradings in the database."""
