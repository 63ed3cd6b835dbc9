"""A small invented house as the object of its file."""

from __future__ import annotations

from typing import Any

import pytest

from trainer.domain.errors import InstallationError, Problem
from trainer.interop.installations import installation_from_json


@pytest.fixture
def sample() -> dict[str, Any]:
    return {
        "format": "protection-trainer/installation",
        "format_version": 1,
        "title": "Invented house",
        "premises": "dwelling",
        "supply": {"earthing_system": "TN-S"},
        "earthing": {},
        "boards": [{"id": "cu", "ways": 10}],
        "devices": [
            {"id": "main", "board": "cu", "fed_by": "cu", "kind": "switch", "rated_current_a": 100, "poles": 2},
            {
                "id": "way1",
                "board": "cu",
                "fed_by": "main",
                "kind": "rcbo",
                "rated_current_a": 40,
                "poles": 2,
                "curve": "B",
                "rcd_type": "A",
                "rated_residual_operating_current_ma": 30,
            },
        ],
        "circuits": [
            {
                "id": "charger",
                "fed_by": "way1",
                "cable": {"type": "4D5", "cross_section_mm2": 6, "length_m": 12, "reference_method": "C"},
            }
        ],
        "equipment": [{"id": "wallbox", "circuit": "charger", "kind": "charger", "charger": {}}],
    }


@pytest.fixture
def problems():
    """The problems of an object by their paths."""

    def of(data: object) -> dict[str, Problem]:
        try:
            installation_from_json(data)
        except InstallationError as error:
            return {problem.path: problem for problem in error.problems}
        return {}

    return of
