"""Sheets of test readings to judge against limits."""
