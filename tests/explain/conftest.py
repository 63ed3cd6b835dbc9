"""Shared by the tests of drawing and words."""

from __future__ import annotations

import pytest

from tests.explain.houses import four_sources
from trainer.domain.installation import Installation


@pytest.fixture(scope="session")
def house() -> Installation:
    return four_sources()
