"""Keeping the stored data whole: backups, checks, the move to another database."""
