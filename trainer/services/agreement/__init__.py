"""The rule book's verdicts beside those of the fault walks, over many houses."""
