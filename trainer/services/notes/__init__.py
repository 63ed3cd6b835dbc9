"""The notes of the objectives: examples computed from seeds, gaps to fill in."""
