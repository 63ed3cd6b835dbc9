"""A page that is looked at changes nothing: every route by GET and HEAD, every table compared before and after.

Source: OWASP ASVS 5.0.0, 3.5.3; RFC 9110, 9.2.1 (safe methods).
"""

from __future__ import annotations

import pytest
from flask import Flask
from sqlalchemy import text

from tests.security.world import ROLES, World, copied, seated
from trainer.persistence.database import Database
from trainer.persistence.models import Base

# That a session is in use, and counts of wrong tries.
BESIDES = {"signed_in", "rate_count"}
# What is made once, when it is first looked for, and the same whoever makes somebody look: the number under which an
# account practises, the secret that a page shows to set a factor up, the work of drawing what a locked paper lacks.
PREPARES = {
    "home.welcome": {"learner", "person"},
    "people.second_factor": {"second_factor"},
    "papers.show": {"job"},
}


def held(database: Database) -> dict[str, list[tuple[object, ...]]]:
    """Everything in every table but those, in a fixed order."""
    with database.reading() as session:
        return {
            name: sorted(map(tuple, session.execute(text(f'SELECT * FROM "{name}"'))), key=repr)
            for name in Base.metadata.tables
            if name not in BESIDES
        }


@pytest.mark.parametrize("who", ROLES)
def test_no_page_changes_anything_by_being_looked_at(world: World, tmp_path, who: str) -> None:
    app, database = copied(world, tmp_path)
    assert isinstance(app, Flask)
    before, changed, opened = held(database), [], 0
    for rule in sorted(app.url_map.iter_rules(), key=lambda each: each.endpoint):
        if "GET" not in (rule.methods or set()) or rule.endpoint == "static":
            continue
        parts = {name: world.ids[name] for name in rule.arguments}
        path = app.url_map.bind("localhost").build(rule.endpoint, parts, method="GET")
        for method in ("GET", "HEAD"):
            opened += seated(app, world.seats[who]).open(path, method=method, buffered=True).status_code == 200
        after = held(database)
        told = {name for name in after if after[name] != before[name]} - PREPARES.get(rule.endpoint, set())
        if told:
            changed.append(f"{rule.endpoint}: {sorted(told)}")
        before = after
    database.close()
    assert changed == []
    assert opened >= 40
