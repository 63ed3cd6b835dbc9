"""One application, served once, with every kind of page made beforehand; one browser for all tests."""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from lxml import html
from playwright.sync_api import Browser, BrowserContext, Page, Request

from tests.patience import ON_A_PAGE_MS
from tests.web.conftest import NOON, serving
from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.web.app import create_app
from trainer.web.wiring import Wiring

FIRST_SEED = 1
"""The same houses in every run: what these tests find can be looked at again."""

LEVELS = (1, 4)
KINDS = ("inspect", "measure", "question")


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The served pages: the address of the server and the path of each kind of page."""

    address: str
    cookie: str
    paths: dict[str, str]

    def of(self, name: str) -> str:
        """The whole address of a kind of page."""
        return self.address + self.paths[name]


@pytest.fixture(scope="session")
def application(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    folder: Path = tmp_path_factory.mktemp("site")
    settings = Settings(
        data_folder=folder,
        database_url=sqlite_url(folder / "trainer.sqlite3"),
        secret_key="a secret that is used in tests only",
    )
    database = Database(settings.database_url)
    upgrade(database)
    seeds = itertools.count(FIRST_SEED)
    yield create_app(settings, Wiring(storage=SqlStorage(database), now=lambda: NOON, new_seed=lambda: next(seeds)))
    database.close()


@pytest.fixture(scope="session")
def site(application: Flask) -> Iterator[Site]:
    """Every kind of page with its address, each reached as a visitor reaches it."""
    with serving(application) as address:
        made = _Visitor(application)
        paths = {"home": "/", "waveform": "/waveform"}
        paths |= {
            "waveform refused": "/waveform?rating=0",
            "rule": "/rules/RCD-07",
            "note with a sum": "/notes/LO04?gap-0=1&gap-1=2",
            "note with a drawing": "/notes/LO20",
            "note with a curve": "/notes/LO02",
            "try a value": "/try",
            "try a word": "/try?path=devices.way7.rcd_type",
            "try refused": "/try?path=nothing",
            "not found": "/no-such-page",
        }
        paths |= made.worked()
        paths |= {path: path for path in made.pages_without_parameters() if path not in paths.values()}
        yield Site(address=address, cookie=made.cookie, paths=paths)


@dataclass(slots=True)
class _Visitor:
    """Fills in forms as a browser without script does."""

    application: Flask
    client: Any = field(init=False)

    def __post_init__(self) -> None:
        self.client = self.application.test_client()

    def pages_without_parameters(self) -> list[str]:
        """Every page that a visitor can open by its bare address, whoever wrote it."""
        found = []
        for rule in self.application.url_map.iter_rules():
            if rule.arguments or "GET" not in (rule.methods or ()):
                continue
            answer = self.client.get(rule.rule)
            if answer.status_code == 200 and answer.mimetype == "text/html":
                found.append(rule.rule)
        return sorted(found)

    @property
    def cookie(self) -> str:
        return str(self.client.get_cookie("trainer").value)

    def worked(self) -> dict[str, str]:
        """Tasks answered wrongly and rightly at the lowest and the highest level."""
        paths = {}
        for level in LEVELS:
            task = self._posted("/practise", {"level": str(level)})
            paths[f"task {level}"] = task
            paths[f"result {level} wrong"] = self._posted(task, self._answers(task, last=True))
            paths[f"fault {level}"] = paths[f"result {level} wrong"] + "/fault"
            paths[f"result {level}"] = self._posted(task, {**self._right(task), "attempt": "2"})
        for kind in KINDS:
            paths[kind] = self._posted("/practise", {"level": "1", "kind": kind})
            paths[f"result {kind}"] = self._posted(paths[kind], self._asked(paths[kind]))
        paths["progress"] = "/progress"
        return paths

    def _asked(self, task: str) -> dict[str, str]:
        """The first of everything that can be chosen, and one for every number."""
        answers: dict[str, str] = {}
        for control in html.fromstring(self.client.get(task).text).xpath("//form[@id='decisions']//*[@name]"):
            name = control.get("name")
            if control.tag == "select":
                answers[name] = next((value for value in control.xpath("./option/@value") if value), "")
            elif control.tag == "input" and control.get("type") != "hidden" and name not in answers:
                answers[name] = control.get("value") or "1"
        answers["attempt"] = "1"
        return answers

    def _posted(self, path: str, data: dict[str, str]) -> str:
        page = self.client.get(path).text
        token = page.split('name="csrf_token" value="')[1].split('"')[0]
        answer = self.client.post(path, data={"csrf_token": token, **data})
        assert answer.status_code == 303, answer.text
        return str(answer.location)

    def _opened(self, task: str) -> Any:
        from trainer.web.practice.wired import practice

        with self.application.app_context():
            opened = practice().open(task.rpartition("/")[2])
        assert opened is not None
        return opened

    def _answers(self, task: str, *, last: bool) -> dict[str, str]:
        decisions = self._opened(task).task.decisions
        answers = {f"choice-{each.id}": each.options[-1 if last else 0].id for each in decisions}
        for trap in self._opened(task).task.key.traps:
            answers[f"choice-{trap.decision}"] = trap.option
        return {**answers, "attempt": "1"}

    def _right(self, task: str) -> dict[str, str]:
        intended = self._opened(task).task.key.intended
        return {f"choice-{key}": option for key, option in intended.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """How a page is looked at."""

    width: int
    scheme: str = "light"
    script: bool = True


Opener = Callable[[View], Page]


@pytest.fixture
def look(browser: Browser, site: Site) -> Iterator[Opener]:
    """Opens a page of the given width and scheme for the visitor whose work the site holds."""
    contexts: list[BrowserContext] = []
    open_requests: set[Request] = set()

    def begun(request: Request) -> None:
        open_requests.add(request)

    def ended(request: Request) -> None:
        open_requests.discard(request)

    def open_page(view: View) -> Page:
        context = browser.new_context(
            viewport={"width": view.width, "height": 800},
            color_scheme="dark" if view.scheme == "dark" else "light",
            java_script_enabled=view.script,
            reduced_motion="reduce",
        )
        context.add_cookies([{"name": "trainer", "value": site.cookie, "url": site.address}])
        contexts.append(context)
        context.on("request", begun)
        for name in ("requestfinished", "requestfailed"):
            context.on(name, ended)
        return context.new_page()

    yield open_page
    # What is still on its way is kept with the task, perhaps after the next test has taken it back.
    deadline = time.monotonic() + ON_A_PAGE_MS / 1000
    while open_requests and time.monotonic() < deadline:
        contexts[0].pages[0].wait_for_timeout(20)
    assert {each.url for each in open_requests} == set(), "never answered"
    for context in contexts:
        context.close()


@contextmanager
def led_on(page: Page) -> Iterator[None]:
    """What is done inside leads to another page: goes on when that has been loaded and its script has run."""
    with page.expect_navigation():
        yield


def opened_afresh(page: Page, address: str) -> Page:
    """A task as nobody has begun it: what an earlier test chose there is kept with it, so it is taken back first."""
    request = page.context.request
    token = request.get(address).text().split('name="csrf_token" value="')[1].split('"')[0]
    request.post(address, form={"csrf_token": token, "show": "kept"}, headers={"X-Part": "kept", "Referer": address})
    page.goto(address)
    return page


@pytest.fixture(scope="session")
def axe_core() -> str:
    """The accessibility checker axe-core as its package ships it."""
    return (files("axe_playwright_python") / "axe.min.js").read_text("utf-8")
