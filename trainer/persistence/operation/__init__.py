"""The audit chain and the counts behind limits on rates, in the database."""
