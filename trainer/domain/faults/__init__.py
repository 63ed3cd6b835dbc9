"""Simulated earth faults walked through the devices on their path."""
