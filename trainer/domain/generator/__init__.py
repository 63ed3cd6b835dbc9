"""Makes invented installations from a seed, valid by construction, with planted traps."""
