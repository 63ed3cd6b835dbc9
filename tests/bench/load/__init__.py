"""Load on a server of its own, always bounded in time. ``python -m tests.bench.load --help``."""
