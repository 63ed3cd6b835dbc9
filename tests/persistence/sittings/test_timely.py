"""A save that simply goes through: for whom it does, and how little it asks of the database."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from tests.persistence.heard import statements
from tests.services.sittings.world import COLLEGE, NOON, PAPER, World, arrange, furnish, here
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.sittings.timely import SqlTimelySaves
from trainer.persistence.tables.sittings import SavedAnswerRow, SittingRow
from trainer.services.papers.words import HandedInBy, SittingState
from trainer.services.sittings.clock import CLOCK_SLACK_S
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import SavedAnswer, Sitting
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Working

ITEM = 2


@pytest.fixture
def world(storage: SqlStorage) -> World:
    furnish(storage)
    return World(storage)


@pytest.fixture
def sitting(world: World) -> Sitting:
    return world.desk(Starting).start(here(), PAPER, 1, "")


def answer(at: datetime = NOON, *, sequence: int = 1, sender: str = "page", position: int = ITEM) -> SavedAnswer:
    return SavedAnswer(
        position=position,
        sequence=sequence,
        sender=sender,
        answers_json=f'{{"question": "{sequence} V"}}',
        certainty_json="{}",
        saved_at=at,
        late=False,
    )


def keep(
    world: World,
    sitting: Sitting,
    what: SavedAnswer,
    *,
    organisation: str = COLLEGE,
    member: str = "ann",
    base: int = 0,
) -> datetime | None:
    saves = SqlTimelySaves(world.storage.database)
    return saves.keep(organisation, member, sitting.id, what, base=base)


def kept(world: World) -> list[tuple[int, str]]:
    return [(row.sequence, row.answers_json) for row in world.rows(SavedAnswerRow)]


def row_of(world: World) -> SittingRow:
    (row,) = world.rows(SittingRow)
    return row


def test_an_answer_in_time_is_kept_and_gives_the_deadline(world: World, sitting: Sitting) -> None:
    at = NOON + timedelta(minutes=5)
    assert keep(world, sitting, answer(at)) == sitting.deadline_at == NOON + timedelta(hours=1)
    assert kept(world) == [(1, '{"question": "1 V"}')]
    assert row_of(world).last_seen_at == at


def test_the_last_moment_is_in_time_and_the_next_one_is_not(world: World, sitting: Sitting) -> None:
    assert keep(world, sitting, answer(NOON + timedelta(hours=1))) is not None
    assert keep(world, sitting, answer(NOON + timedelta(hours=1, microseconds=1), sequence=2)) is None
    assert [number for number, _ in kept(world)] == [1]


def test_another_servers_clock_may_be_behind_by_the_slack_and_the_later_look_stays(
    world: World, sitting: Sitting
) -> None:
    late = NOON + timedelta(minutes=30)
    keep(world, sitting, answer(late))
    assert keep(world, sitting, answer(late - timedelta(seconds=CLOCK_SLACK_S), sequence=2)) is not None
    assert row_of(world).last_seen_at == late
    set_back = late - timedelta(seconds=CLOCK_SLACK_S, microseconds=1)
    assert keep(world, sitting, answer(set_back, sequence=3)) is None
    assert [number for number, _ in kept(world)] == [2]


def test_a_sitting_that_nobody_looked_at_counts_from_its_start(world: World, sitting: Sitting) -> None:
    with world.storage.database.writing() as session:
        session.get(SittingRow, sitting.id).last_seen_at = None
    assert keep(world, sitting, answer(NOON - timedelta(seconds=CLOCK_SLACK_S + 1))) is None
    assert keep(world, sitting, answer(NOON - timedelta(seconds=CLOCK_SLACK_S))) is not None
    assert row_of(world).last_seen_at == NOON


def paused(world: World, sitting: Sitting) -> None:
    arrange(world.storage, "ann", rest_breaks_s=600)
    with world.storage.database.writing() as session:
        session.get(SittingRow, sitting.id).rest_breaks_s = 600
    world.desk(Working).rest(here(), sitting.id)


def handed_in(world: World, sitting: Sitting) -> None:
    world.desk(Finishing).hand_in(here(), sitting.id)


def without_limit(world: World, sitting: Sitting) -> None:
    with world.storage.database.writing() as session:
        session.get(SittingRow, sitting.id).deadline_at = None


@pytest.mark.parametrize("otherwise", [paused, handed_in, without_limit])
def test_a_sitting_that_does_not_simply_run_is_left_to_whoever_weighs_it(
    world: World, sitting: Sitting, otherwise: Callable[[World, Sitting], None]
) -> None:
    otherwise(world, sitting)
    seen = row_of(world).last_seen_at
    assert keep(world, sitting, answer(NOON + timedelta(minutes=1))) is None
    assert (kept(world), row_of(world).last_seen_at) == ([], seen)


@pytest.mark.parametrize("whose", [{"organisation": "firm"}, {"member": "bob"}])
def test_nobody_saves_in_the_sitting_of_another(world: World, sitting: Sitting, whose: dict[str, str]) -> None:
    assert keep(world, sitting, answer(NOON + timedelta(minutes=1)), **whose) is None
    assert (kept(world), row_of(world).last_seen_at) == ([], NOON)


def test_an_item_that_is_not_there_takes_no_answer(world: World, sitting: Sitting) -> None:
    assert keep(world, sitting, answer(position=99)) is None
    assert kept(world) == []


def test_what_is_newer_stays(world: World, sitting: Sitting) -> None:
    assert keep(world, sitting, answer(sequence=3)) is not None
    assert keep(world, sitting, answer(sequence=3)) is None
    assert keep(world, sitting, answer(sequence=2)) is None
    assert keep(world, sitting, answer(sequence=9, sender="other")) is None
    assert [number for number, _ in kept(world)] == [3]
    assert keep(world, sitting, answer(sequence=9, sender="other"), base=3) is not None
    assert [number for number, _ in kept(world)] == [9]


def statements_of(work: Callable[[], object]) -> list[str]:
    with statements() as said:
        work()
    return [each.split(maxsplit=1)[0] for each in said]


def test_a_save_is_one_statement_in_postgresql_and_three_in_sqlite(
    world: World, sitting: Sitting, database: Database
) -> None:
    said = statements_of(lambda: keep(world, sitting, answer()))
    assert said == (["BEGIN", "UPDATE", "INSERT"] if database.kind == "sqlite" else ["WITH"])


@pytest.mark.only("postgresql")
def test_a_save_that_waited_for_a_hand_in_finds_the_sitting_ended(
    world: World, sitting: Sitting, database: Database
) -> None:
    told: list[datetime | None] = []
    save = threading.Thread(target=lambda: told.append(keep(world, sitting, answer(NOON + timedelta(minutes=1)))))
    with database.writing() as session:
        row = session.get(SittingRow, sitting.id, with_for_update=True)
        save.start()
        while save.is_alive() and not waits(database):
            time.sleep(0.01)
        assert save.is_alive()
        ended = (SittingState.HANDED_IN.value, NOON, HandedInBy.LEARNER.value)
        row.state, row.handed_in_at, row.handed_in_by = ended
    save.join()
    assert (told, kept(world)) == ([None], [])


def waits(database: Database) -> bool:
    with database.at_once() as connection:
        return bool(connection.run("SELECT count(*) FROM pg_locks WHERE NOT granted").fetchall()[0][0])


def test_a_look_is_noted_by_one_statement_and_gives_the_deadline(
    world: World, sitting: Sitting, database: Database
) -> None:
    found: list[datetime | None] = []
    at = NOON + timedelta(minutes=7)
    saves = SqlTimelySaves(database)
    said = statements_of(lambda: found.append(saves.look(COLLEGE, "ann", sitting.id, at)))
    assert said == (["BEGIN", "UPDATE"] if database.kind == "sqlite" else ["UPDATE"])
    assert (found, row_of(world).last_seen_at) == ([sitting.deadline_at], at)


def test_a_look_at_what_does_not_simply_run_notes_nothing(world: World, sitting: Sitting) -> None:
    saves = SqlTimelySaves(world.storage.database)
    for whose in (("firm", "ann", NOON), (COLLEGE, "bob", NOON), (COLLEGE, "ann", NOON + timedelta(hours=2))):
        assert saves.look(*whose[:2], sitting.id, whose[2]) is None
    paused(world, sitting)
    assert saves.look(COLLEGE, "ann", sitting.id, NOON + timedelta(minutes=1)) is None
    assert row_of(world).last_seen_at == NOON


def test_a_page_notes_its_look_and_shows_what_is_left(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(minutes=20)
    assert world.desk(Working).look(here(), sitting.id).left_s == 40 * 60
    assert row_of(world).last_seen_at == NOON + timedelta(minutes=20)
