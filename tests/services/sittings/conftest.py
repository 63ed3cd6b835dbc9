"""A world on an empty database."""

from __future__ import annotations

import pytest

from tests.services.sittings.world import World, furnish
from trainer.persistence.repositories import SqlStorage


@pytest.fixture
def world(storage: SqlStorage) -> World:
    furnish(storage)
    return World(storage)
