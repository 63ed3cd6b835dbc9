"""Programmes, assignments, refreshers and training records, in the database."""
