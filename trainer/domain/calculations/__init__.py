"""Calculations that rules, questions and the command line share: pure functions with named terms."""
