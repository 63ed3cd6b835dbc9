"""Jobs, audit chain, limits and retention in the database."""
