"""One value of an installation moved while the rest stays: what flips, and exactly where."""
