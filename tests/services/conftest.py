"""Use cases over a database of the test's own: the fixtures stand in ``tests/conftest.py``."""
