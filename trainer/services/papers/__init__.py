"""Papers: set by a lecturer, sat by learners, marked, moderated and released."""
