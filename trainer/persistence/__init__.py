"""Storage of tasks, pages, learners and attempts in SQLite or PostgreSQL."""
