"""One application for all pages of the rule book: they change nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask.testing import FlaskClient

from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.web.app import create_app
from trainer.web.wiring import Wiring


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    place = tmp_path_factory.mktemp("rules")
    settings = Settings(
        data_folder=place,
        database_url=sqlite_url(place / "trainer.sqlite3"),
        secret_key="a secret that is used in tests only",
    )
    database = Database(settings.database_url)
    upgrade(database)
    yield create_app(settings, Wiring(storage=SqlStorage(database))).test_client()
    database.close()
