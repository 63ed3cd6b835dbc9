"""Options and fixtures that every test can use."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests import postgresql

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
    from playwright.sync_api import sync_playwright

    path = tool("chromium")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGUMENTS)
        yield chromium
        chromium.close()


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
