"""Organisations, people, groups and sessions in the database."""
