"""Stored answers judged again by the rules of this program, and what that changes."""
