"""A locked paper with a task of each kind, and a runner that does what waits."""

from __future__ import annotations

import pytest

from tests.web.papers.conftest import (
    app,  # noqa: F401 - fixtures that pytest finds by name
    box,  # noqa: F401
    browser_of,  # noqa: F401
    clock,  # noqa: F401
    college,  # noqa: F401
    drawn_at_once,  # noqa: F401
    lecturer,  # noqa: F401
    made,
    moved,
    with_tasks,
)
from tests.web.people.conftest import Browser

PAPER = {
    "slots": "4",
    "slot-1-kind": "choose",
    "slot-1-level": "2",
    "slot-1-count": "1",
    "slot-1-marks": "10",
    "slot-2-kind": "question",
    "slot-2-level": "2",
    "slot-2-count": "3",
    "slot-2-marks": "2",
    "slot-3-kind": "inspect",
    "slot-3-level": "2",
    "slot-3-count": "1",
    "slot-3-marks": "7",
    "slot-4-kind": "measure",
    "slot-4-level": "1",
    "slot-4-count": "1",
    "slot-4-marks": "5",
    "slot-1-objective": "",
    "slot-2-objective": "",
}


@pytest.fixture
def paper(lecturer: Browser) -> str:  # noqa: F811
    """The address of a locked paper."""
    return _locked(lecturer)


@pytest.fixture
def paper_of_two_attempts(lecturer: Browser) -> str:  # noqa: F811
    """The same for two attempts of everybody."""
    return _locked(lecturer, attempts_allowed="2")


def _locked(lecturer: Browser, **settings: str) -> str:  # noqa: F811
    address = made(lecturer, **settings)
    with_tasks(lecturer, address, **PAPER)
    assert moved(lecturer, address, "locked", 2).status_code == 303
    return address
