"""Use cases: each takes storage, clock and randomness as arguments and returns plain values."""
