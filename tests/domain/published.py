"""Rows of the published tables in ``tests/reference``."""

from __future__ import annotations

import csv
from pathlib import Path

REFERENCE = Path(__file__).parents[1] / "reference"


def published(name: str) -> list[dict[str, str]]:
    """The rows of one table, as printed."""
    lines = (REFERENCE / f"{name}.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def half_a_digit(printed: str) -> float:
    """Half the last printed digit of a number."""
    decimals = len(printed.partition(".")[2])
    return 0.5 * 10.0**-decimals * (1 + 1e-9)
