"""Jobs and their files in the database."""
