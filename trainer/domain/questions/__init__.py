"""Short questions whose keys and distractors the engine computes."""
