"""What practice and short questions may not give away before the answer: key, seed, traps, acceptable answers.

A word is planted into every part of the stored key; then every page is opened that can be. Sittings have
the same test in ``tests/web/sittings/test_canaries.py``.
"""

from __future__ import annotations

import json

import pytest
from sqlalchemy import select, update

from tests.security.world import KINDS, World, copied, seated
from tests.web.conftest import NOON
from trainer.persistence.database import Database
from trainer.persistence.models import PageRow, TaskRow
from trainer.persistence.tables.papers import PaperRow
from trainer.persistence.tables.sittings import GradingRow, ItemGradingRow, SittingRow
from trainer.web.sittings.closing import SWITCH

CANARY = "planted-canary"


@pytest.fixture
def planted(world: World, tmp_path):
    app, database = copied(world, tmp_path)
    with database.writing() as session:
        for row in session.scalars(select(TaskRow)).all():
            document = json.loads(row.content)
            document["key"] = _planted(document["key"])
            statement = update(TaskRow).where(TaskRow.content_hash == row.content_hash)
            session.execute(statement.values(content=json.dumps(document).encode()))
    yield app, database
    database.close()


def _planted(key: dict) -> dict:
    for trap in key["traps"]:
        trap["id"] = trap["misconception"] = trap["rule"] = CANARY
    for each in (key.get("asks") or {}).values():
        each["why"] = CANARY
        for wrong in each.get("wrongs", []):
            wrong["why"] = wrong["misconception"] = CANARY
    return key


def seeds(database: Database) -> list[str]:
    with database.reading() as session:
        return [str(seed) for seed in session.scalars(select(TaskRow.seed)) if seed > 10_000]


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_of_practice_gives_nothing_away_before_the_answer(planted, world: World, kind: str) -> None:
    app, database = planted
    answer = seated(app, world.seats["visitor"]).get(f"/s/{world.pages[kind]}")
    assert answer.status_code == 200
    head = str(answer.headers)
    assert [each for each in [CANARY, *seeds(database)] if each in answer.text + head] == []


def test_no_page_of_anybody_gives_a_seed_or_a_part_of_a_key_away(planted, world: World) -> None:
    """Every page that takes GET, for every role: staff see the key of a paper on its preview only."""
    app, database = planted
    secrets = [CANARY, *seeds(database)]
    staff_only = {"papers.preview", "papers.build"}
    told = []
    for who, seat in world.seats.items():
        for rule in app.url_map.iter_rules():
            if "GET" not in (rule.methods or set()) or (rule.endpoint in staff_only and who != "college-learner"):
                continue
            parts = {name: world.ids[name] for name in rule.arguments}
            path = app.url_map.bind("localhost").build(rule.endpoint, parts)
            text = seated(app, seat).get(path, buffered=True).get_data(as_text=False)
            told += [f"{who} {rule.endpoint}: {each}" for each in secrets if each.encode() in text]
    assert told == []


def test_a_form_that_comes_back_gives_nothing_away(planted, world: World) -> None:
    app, database = planted
    seat, back = world.seats["visitor"], 0
    for kind in KINDS:
        answer = seated(app, seat).post(f"/s/{world.pages[kind]}", data={"csrf_token": seat.token, "decision-x": "1"})
        if answer.status_code == 400:
            assert [each for each in [CANARY, *seeds(database)] if each in answer.text] == []
            back += 1
    assert back > 0


def test_the_address_of_a_page_tells_nothing_of_its_task(world: World, tmp_path) -> None:
    """The id is random: it holds neither seed nor hash of the task."""
    _, database = copied(world, tmp_path)
    with database.reading() as session:
        tasks = select(PageRow.id, TaskRow.seed, TaskRow.content_hash)
        rows = session.execute(tasks.join(TaskRow, TaskRow.content_hash == PageRow.content_hash)).all()
    database.close()
    assert len(rows) >= len(KINDS)
    for page_id, seed, content_hash in rows:
        assert str(seed) not in page_id
        assert content_hash[:8] not in page_id
        assert len(page_id) >= 22  # 128 bits in base64


def test_the_planted_word_would_be_found(planted, world: World) -> None:
    """Holds the other tests to something: the word stands in every kind of task that is delivered."""
    _, database = planted
    with database.reading() as session:
        content = [row.content for row in session.scalars(select(TaskRow))]
    assert sum(CANARY.encode() in each for each in content) >= len(KINDS)


MARKS = 7_654_321


def test_no_page_and_no_copy_tells_the_marks_before_the_release(world: World, tmp_path) -> None:
    """Marks that no page could show by chance; every page of the learner, the copy of what is kept, the results."""
    app, database = copied(world, tmp_path)
    app.config[SWITCH] = False
    seat, sitting_id = world.seats["college-learner"], world.ids["sitting_id"]
    seated(app, seat).post(f"/sittings/{sitting_id}/hand-in", data={"csrf_token": seat.token})
    with database.writing() as session:
        sitting = session.get(SittingRow, sitting_id)
        assert sitting is not None
        assert sitting.marks is not None, "it was marked when it was handed in"
        sitting.marks_available = MARKS
        for row in session.scalars(select(GradingRow)):
            row.marks_available = MARKS
        for each in session.scalars(select(ItemGradingRow)):
            each.marks_available = MARKS
    assert _pages_with_marks(app, seat, world) == []
    with database.writing() as session:
        session.execute(update(PaperRow).where(PaperRow.id == "paper").values(state="released", released_at=NOON))
    told = _pages_with_marks(app, seat, world)
    assert {"sittings.result", "plan.copy"} <= set(told), "the same marks are found once they are released"
    database.close()


def _pages_with_marks(app, seat, world: World) -> list[str]:
    found = []
    for rule in app.url_map.iter_rules():
        if "GET" not in (rule.methods or set()) or rule.endpoint == "static":
            continue
        path = app.url_map.bind("localhost").build(rule.endpoint, {name: world.ids[name] for name in rule.arguments})
        text = seated(app, seat).get(path, buffered=True).text.replace(",", "").replace("\u00a0", "")
        found += [rule.endpoint] if str(MARKS) in text else []
    return sorted(found)
