"""Refresher programmes of a firm, the records they give, and each learner's own plan."""
