"""The world, made once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.security.world import World, built, copied


@pytest.fixture(scope="session")
def world(tmp_path_factory: pytest.TempPathFactory) -> World:
    return built(tmp_path_factory.mktemp("world"))


@pytest.fixture
def app(world: World, tmp_path: Path):
    made, database = copied(world, tmp_path)
    yield made
    database.close()


@pytest.fixture
def seats(world: World):
    return world.seats
