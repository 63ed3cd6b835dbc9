"""Papers in the database."""
