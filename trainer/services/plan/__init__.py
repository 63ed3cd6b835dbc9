"""A learner's own plan: what is due and why, where the learner stands, what comes next."""
