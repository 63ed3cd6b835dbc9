"""Here every test of storage runs on SQLite and on PostgreSQL: the fixtures stand in ``tests/conftest.py``."""
