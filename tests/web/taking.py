"""The runner in the process of a test, and files taken as a browser takes them."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from flask import Flask

from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.jobs.running import Runner
from trainer.web.printing.works import QUICK, works_of
from trainer.web.wiring import random_id

if TYPE_CHECKING:
    from tests.web.people.conftest import Browser

Run = Callable[[], None]


def running(app: Flask, storage: SqlStorage, clock: Callable[[], datetime], stop: threading.Event | None = None) -> Run:
    """Does everything that waits, as the process of the runner would; ``stop`` ends it after a part."""
    runner = Runner(
        storage=storage.scopes(job_repositories),
        works=works_of(lambda: app),
        now=clock,
        new_id=random_id,
        quick=QUICK,
        stop=stop or threading.Event(),
    )

    def go() -> None:
        while not runner.stop.is_set() and runner.step():
            pass

    return go


def taken(browser: Browser, address: str, page: str, run: Run, data: dict[str, object] | None = None) -> bytes:
    """The file that a button gives: at once, or from the page of files once the runner has made it."""
    before = _files(browser)
    answer = browser.post(address, data or {}, page=page)
    if answer.status_code == 200:
        return answer.data
    assert (answer.status_code, answer.headers["Location"]) == (303, "/files"), answer.text
    run()
    (fresh,) = _files(browser) - before
    made = browser.get(fresh)
    assert made.status_code == 200
    return made.data


def _files(browser: Browser) -> set[str]:
    return set(re.findall(r'href="(/files/[^"]+)" download', browser.get("/files").text))
