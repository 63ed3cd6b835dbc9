"""Copies, erasing and times of keeping in the database."""
