"""Options and fixtures that every test can use."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests import databases, postgresql
from tests.patience import ON_A_PAGE_MS
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).resolve().parent.parent

# A tool that is not part of the Python packages, and the Debian package that brings it.
DEBIAN_PACKAGE_OF = {
    "chromium": "chromium",
    "git": "git",
    "ngspice": "ngspice",
    "postgresql": "postgresql",
}

CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--slow",
        action="store_true",
        default=bool(os.environ.get("CI")),
        help="run the tests marked slow as well (the default when CI is set)",
    )


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "only(kind): asks for something that one kind of database has")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "database_kind" in metafunc.fixturenames:
        only = metafunc.definition.get_closest_marker("only")
        kinds = only.args if only else databases.kinds_for(metafunc.definition.path)
        metafunc.parametrize("database_kind", kinds, indirect=True)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """No worker but this process for a measurement, and where only files or single tests are asked for."""
    names = [each.partition("::")[0] for each in config.args]
    if config.getoption("--benchmark-enable") or all(Path(name).is_file() for name in names):
        return 0
    return None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    left_out = [item for item in items if _left_out(config, item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def _left_out(config: pytest.Config, item: pytest.Item) -> bool:
    if item.get_closest_marker("slow") and not config.getoption("--slow"):
        return True
    # The project's own options always disable; asking to enable on the command line wins.
    return bool(item.get_closest_marker("bench")) and not config.getoption("--benchmark-enable")


@pytest.fixture(scope="session")
def root() -> Path:
    """The top of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def tool() -> Callable[[str], str]:
    """Finds a program; without it the test is skipped with the line that installs it, and fails under CI."""

    def find(name: str) -> str:
        path = shutil.which(name)
        if path is None:
            reason = f"{name} is not installed: apt-get install {DEBIAN_PACKAGE_OF[name]}"
            if os.environ.get("CI"):
                pytest.fail(reason)
            pytest.skip(reason)
        return path

    return find


@pytest.fixture(scope="session")
def browser(tool: Callable[[str], str]) -> Iterator[Browser]:
    """Debian's Chromium, one for the whole run, without its talk to other hosts."""
    # Imported here: most runs ask for no browser.
    from playwright.sync_api import expect, sync_playwright

    path = tool("chromium")
    # A busy machine may need many times what an idle one does; five seconds, the usual patience, are too near.
    expect.set_options(timeout=ON_A_PAGE_MS)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGUMENTS, timeout=ON_A_PAGE_MS)
        for name in ("new_context", "new_page"):
            setattr(chromium, name, _patient(getattr(chromium, name)))
        yield chromium
        chromium.close()


def _patient(make: Callable[..., Any]) -> Callable[..., Any]:
    def made(*arguments: Any, **options: Any) -> Any:
        opened = make(*arguments, **options)
        opened.set_default_timeout(ON_A_PAGE_MS)
        return opened

    return made


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[postgresql.Server]:
    """A running PostgreSQL of the tests' own; skips with the line that installs it, fails where CI is set."""
    if postgresql.programs() is None:
        reason = f"no PostgreSQL server is installed: apt-get install {DEBIAN_PACKAGE_OF['postgresql']}"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with postgresql.server() as running:
        yield running


@pytest.fixture
def database_kind(request: pytest.FixtureRequest) -> str:
    """``sqlite`` or ``postgresql``; ``tests.databases`` tells which tests run on both."""
    return request.param


@pytest.fixture(scope="session")
def _sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return databases.sqlite_template(tmp_path_factory.mktemp("template"))


@pytest.fixture(scope="session")
def _postgresql_template(postgresql_server: postgresql.Server) -> str:
    name = postgresql_server.fresh()
    databases.made(postgresql_server.address_of(name))
    return name


@pytest.fixture
def empty_address(database_kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[str]:
    """The address of a database of the test's own without tables."""
    if database_kind == databases.SQLITE:
        yield sqlite_url(tmp_path / "trainer.sqlite3")
        return
    server = request.getfixturevalue("postgresql_server")
    name = server.fresh()
    yield server.address_of(name)
    server.drop(name)


@pytest.fixture
def database_address(database_kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[str]:
    """The address of a database of the test's own with all tables and no rows."""
    if database_kind == databases.SQLITE:
        template = request.getfixturevalue("_sqlite_template")
        yield databases.sqlite_copy(template, tmp_path / "trainer.sqlite3")
        return
    server = request.getfixturevalue("postgresql_server")
    name = server.fresh(request.getfixturevalue("_postgresql_template"))
    yield server.address_of(name)
    server.drop(name)


@pytest.fixture
def database(database_address: str) -> Iterator[Database]:
    """A database of the test's own with all tables and no rows."""
    database = Database(database_address)
    yield database
    database.close()


@pytest.fixture
def storage(database: Database) -> SqlStorage:
    """The storage over ``database``."""
    return SqlStorage(database)
