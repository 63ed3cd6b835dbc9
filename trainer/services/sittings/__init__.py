"""Sittings: a person starts a paper, answers are saved, time runs, the paper is handed in and marked."""
