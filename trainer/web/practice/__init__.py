"""The pages where a learner works."""
