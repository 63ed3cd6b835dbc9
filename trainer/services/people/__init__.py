"""Organisations and their people: accounts, roles, groups, sessions, and who may do what."""
