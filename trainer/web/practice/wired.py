"""Practice put together with what the application has: storage, clock, scenario data, language."""

from __future__ import annotations

from flask import current_app
from flask_babel import get_translations

from trainer.explain.engine import Engine
from trainer.persistence.works import work_repositories
from trainer.services.practice.tasks import OpenTask, Practice
from trainer.services.practice.work import Work, Working
from trainer.services.scenarios import make_judged, scenarios
from trainer.web.once import once, once_while_reading
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import wiring

_PRACTICE, _ENGINE = "trainer.practice", "trainer.engine"


def practice() -> Practice:
    """The use cases of practice over this application's storage."""
    known = current_app.extensions.get(_PRACTICE)
    if isinstance(known, Practice):
        return known
    wired = wiring()
    made = Practice(
        storage=wired.storage,
        make=make_judged,
        form=StoredForm(),
        catalogue=tuple(scenarios().misconceptions.values()),
        now=wired.now,
        new_id=wired.new_id,
        new_seed=wired.new_seed,
    )
    current_app.extensions[_PRACTICE] = made
    return made


def working() -> Working:
    """The use cases of work that is not handed in."""
    wired = wiring()
    return Working(storage=wired.storage.scopes(work_repositories), looks=wired.storage.looks, now=wired.now)


def opened_at(page_id: str) -> OpenTask | None:
    """The task of a page as it was when this request came, or None where there is no such page."""
    return once("opened", page_id, lambda: practice().open(page_id))


def work_done_at(page_id: str) -> Work:
    """What whoever began the task of a page did there and has not handed in."""
    return once_while_reading("work", page_id, lambda: working().at(page_id))


def translated_engine() -> Engine:
    """The engine for drawings and words in the language of the request."""
    catalogue = get_translations()
    known = current_app.extensions.setdefault(_ENGINE, {})
    key = id(catalogue)
    if key not in known:
        known[key] = (catalogue, Engine(catalogue.ugettext, catalogue.ungettext))
    engine = known[key][1]
    if not isinstance(engine, Engine):
        raise TypeError(f"not an engine: {engine!r}")
    return engine
