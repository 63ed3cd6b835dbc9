"""An application over an empty database, with a clock and ids that the test holds in its hand."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.serving import WSGIRequestHandler, make_server

from tests.web.taking import Run, running
from trainer.config import Settings
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.web import guard
from trainer.web.access import PUBLIC, Access
from trainer.web.app import create_app
from trainer.web.printing import pdf
from trainer.web.wiring import Wiring

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


@pytest.fixture
def settings(tmp_path: Path, database_address: str) -> Settings:
    return Settings(
        data_folder=tmp_path,
        database_url=database_address,
        secret_key="a secret that is used in tests only",
    )


@pytest.fixture
def storage(settings: Settings) -> Iterator[SqlStorage]:
    database = Database(settings.database_url)
    yield SqlStorage(database)
    database.close()


class OpenUnlessListed(dict[str, Access]):
    """The table of the guard, in which a page that a test adds is open to all."""

    def __missing__(self, _endpoint: str) -> Access:
        return PUBLIC


@pytest.fixture
def app(settings: Settings, storage: SqlStorage) -> Flask:
    made = create_app(settings, Wiring(storage=storage, now=lambda: NOON))
    made.extensions[guard.TABLE] = OpenUnlessListed(guard.table_of(made))
    return made


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def served(app: Flask) -> Iterator[str]:
    """The application on a free port of this machine; gives the address."""
    with serving(app) as address:
        yield address


@contextmanager
def serving(app: Flask) -> Iterator[str]:
    """Serves an application in a thread; gives the address."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Silent)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


class _Silent(WSGIRequestHandler):
    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        pass


@pytest.fixture(scope="session")
def printer() -> None:
    """The libraries that make a PDF; without them the test is skipped with what to install, and fails under CI."""
    if pdf.missing():
        reason = f"no PDF can be made here ({pdf.missing()}): apt-get install {pdf.PACKAGES}"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)


@pytest.fixture
def run(app: Flask, storage: SqlStorage, clock: Callable[[], datetime]) -> Run:
    """Does all jobs that wait."""
    return running(app, storage, clock)
