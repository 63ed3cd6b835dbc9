"""The plan in the database."""
