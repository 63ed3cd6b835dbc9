"""The audit chain: who did what, each event sealed to the one before."""
