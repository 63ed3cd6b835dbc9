"""No page asks the database more often because there is more in it: opened over a small crowd and over a larger one.

What a page asks for each line that it shows would be seen here; how long pages take is measured by
``python -m tests.bench.pages`` and asserted nowhere.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from tests.bench.pages.measuring import pages
from tests.bench.pages.people import app_over, seats
from trainer.cli.inventing.crowd.copier import new_ids
from trainer.cli.inventing.crowd.filling import Wanted, fill_with_crowd
from trainer.cli.inventing.crowd.layout import layout_of
from trainer.cli.inventing.crowd.pattern import Pattern, pattern_of
from trainer.cli.serving import stored_form
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.schema import upgrade
from trainer.services.people.hashing import Argon2

DAY = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
PASSWORD = "kettle lantern fjord mosaic"
SMALL, LARGE = (120, 6_000), (360, 18_000)
# With this one the same people practised in both crowds: whoever never did has less to ask for.
SEED = 2
# The second look asks for nothing that the program has at hand by then.
LOOKS = 2
# Pages that hold nothing of people but who is signed in.
WITHOUT_PEOPLE = ("notes.", "rules.", "style.", "trying.", "waveform.", "home.about", "health.")
# A file with one part for each sitting of one person: it grows with what the person did, not with the others.
OF_ONE_PERSON = frozenset({"plan.copy"})


@pytest.fixture(scope="module")
def pattern() -> Pattern:
    draws = Random(SEED)
    return pattern_of(layout_of(*SMALL).size, draws, stored_form(), new_ids(draws), DAY, _silent)


def _silent(_done: int, _all: int) -> None:
    pass


def asked(folder: Path, size: tuple[int, int], pattern: Pattern) -> dict[tuple[str, str, str], int]:
    """The number of statements by role, route and further parts of the address; the largest of equals."""
    database = Database(sqlite_url(folder / f"{size[0]}.sqlite3"))
    upgrade(database)
    wanted = Wanted(learners=size[0], answers=size[1], seed=SEED, today=DAY, password_hash=Argon2(1, 8).hash(PASSWORD))
    fill_with_crowd(database, wanted, stored_form(), _silent, _silent, lambda *_: pattern)
    app = app_over(database, folder)
    found: dict[tuple[str, str, str], int] = {}
    for role, seat in seats(app, database, PASSWORD).items():
        for page in pages(app, database, seat, LOOKS):
            if not page.endpoint.startswith(WITHOUT_PEOPLE):
                place = (role, page.endpoint, page.path.partition("?")[2])
                found[place] = max(page.statements, found.get(place, 0))
    database.close()
    return found


@pytest.mark.slow
def test_no_page_asks_more_often_where_there_is_three_times_as_much(tmp_path: Path, pattern: Pattern) -> None:
    few, many = asked(tmp_path, SMALL, pattern), asked(tmp_path, LARGE, pattern)
    assert len(few) > 150
    grown = {
        place: (few[place], number)
        for place, number in many.items()
        if place in few and number > few[place] and place[1] not in OF_ONE_PERSON
    }
    assert grown == {}
