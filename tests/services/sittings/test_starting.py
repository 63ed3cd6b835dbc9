"""Starting a paper: once, for those it is set for, with the code that is said in the room."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from tests.services.sittings.world import NOON, PAPER, SECRET, World, arrange, furnish, here, variant_of
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.papers import PaperVariantRow
from trainer.persistence.tables.sittings import SittingItemRow, SittingRow
from trainer.services.papers.words import PaperMode, PaperState
from trainer.services.sittings.errors import NotYoursError, SittingError, WrongCodeError
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.listing import Phase
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Working

FIFTY = 50


def test_fifty_starts_at_once_make_one_attempt(world: World) -> None:
    ready = threading.Barrier(FIFTY)

    def start(_: int) -> str:
        ready.wait()
        return world.desk(Starting).start(here(), PAPER, 1, "").id

    with ThreadPoolExecutor(FIFTY) as pool:
        ids = set(pool.map(start, range(FIFTY)))
    assert len(ids) == 1
    assert [row.id for row in world.rows(SittingRow)] == list(ids)
    assert len(world.rows(SittingItemRow)) == 4
    assert [row.action for row in world.rows(AuditRow)] == ["sitting.started"]


def test_two_people_get_a_variant_each_and_candidate_numbers_that_tell_nothing(world: World) -> None:
    ann = world.desk(Starting).start(here("ann"), PAPER, 1, "")
    bob = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    assert {ann.variant, bob.variant} == {1, 2}
    assert ann.candidate_number != bob.candidate_number
    assert all(len(each.candidate_number) == 5 for each in (ann, bob))


def test_a_further_variant_is_drawn_where_every_one_is_taken(storage: SqlStorage) -> None:
    furnish(storage, variants=1)
    world = World(storage)
    world.desk(Starting).start(here("ann"), PAPER, 1, "")
    assert world.desk(Starting).start(here("bob"), PAPER, 1, "").variant == 2
    made = {row.content_hash for row in world.rows(PaperVariantRow) if row.number == 2}
    assert made == {item.content_hash for _, item in variant_of(2)}


def test_a_second_attempt_needs_to_be_allowed(world: World) -> None:
    first = world.desk(Starting).start(here(), PAPER, 1, "")
    world.desk(Finishing).hand_in(here(), first.id)
    with pytest.raises(SittingError, match="no further attempt"):
        world.desk(Starting).start(here(), PAPER, 2, "")
    world.set_paper(attempts_allowed=2)
    second = world.desk(Starting).start(here(), PAPER, 2, "")
    assert (second.number, second.variant != first.variant) == (2, True)


def test_a_start_sent_again_after_the_hand_in_starts_nothing(world: World) -> None:
    world.set_paper(attempts_allowed=2)
    first = world.desk(Starting).start(here(), PAPER, 1, "")
    world.desk(Finishing).hand_in(here(), first.id)
    assert world.desk(Starting).start(here(), PAPER, 1, "").id == first.id


def test_a_paper_that_is_not_set_for_somebody_looks_as_if_it_were_not_there(world: World) -> None:
    for use in (
        lambda: world.desk(Starting).start(here("eve"), PAPER, 1, ""),
        lambda: world.desk(Starting).conditions(here("eve"), PAPER),
    ):
        with pytest.raises(NotYoursError):
            use()


@pytest.mark.parametrize("typed", ["amber-72", "AMBER 72", " amber72 "])
def test_the_access_code_may_be_typed_in_capitals_with_spaces_or_dashes(world: World, typed: str) -> None:
    world.set_paper(access_code="Amber-72")
    assert world.desk(Starting).start(here(), PAPER, 1, typed).number == 1


@pytest.mark.parametrize("typed", ["", "amber-73", "amber", SECRET])
def test_a_wrong_access_code_starts_nothing(world: World, typed: str) -> None:
    world.set_paper(access_code="Amber-72")
    with pytest.raises(WrongCodeError):
        world.desk(Starting).start(here(), PAPER, 1, typed)
    assert world.rows(SittingRow) == []


def test_a_supervised_paper_without_a_code_cannot_be_started(world: World) -> None:
    world.set_paper(mode=PaperMode.SUPERVISED.value)
    for typed in ("", "anything"):
        with pytest.raises(WrongCodeError):
            world.desk(Starting).start(here(), PAPER, 1, typed)


def test_a_paper_starts_within_its_window_only(world: World) -> None:
    world.set_paper(
        state=PaperState.LOCKED.value, opens_at=NOON + timedelta(hours=1), closes_at=NOON + timedelta(hours=2)
    )
    assert world.desk(Starting).mine(here())[0].phase is Phase.COMING
    with pytest.raises(SittingError, match="not open yet"):
        world.desk(Starting).start(here(), PAPER, 1, "")
    world.clock.pass_by(hours=1)
    assert world.desk(Starting).mine(here())[0].phase is Phase.OPEN
    world.clock.pass_by(hours=1)
    with pytest.raises(SittingError, match="not open"):
        world.desk(Starting).start(here(), PAPER, 1, "")
    assert world.desk(Starting).mine(here())[0].phase is Phase.MISSED


def test_arrangements_hold_for_the_person_they_are_made_for(world: World) -> None:
    arrange(world.storage, "ann", extra_time_percent=25, rest_breaks_s=600, larger_text=True)
    ann = world.desk(Starting).start(here("ann"), PAPER, 1, "")
    bob = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    assert ann.deadline_at == NOON + timedelta(minutes=75)
    assert bob.deadline_at == NOON + timedelta(minutes=60)
    assert (ann.larger_text, bob.larger_text) == (True, False)
    assert world.desk(Working).look(here("ann"), ann.id).breaks_left_s == 600
    assert world.desk(Working).look(here("bob"), bob.id).breaks_left_s == 0


def test_the_list_tells_what_goes_on(world: World) -> None:
    assert world.desk(Starting).mine(here())[0].phase is Phase.OPEN
    sitting = world.desk(Starting).start(here(), PAPER, 1, "")
    assert world.desk(Starting).mine(here())[0].phase is Phase.RUNNING
    world.desk(Finishing).hand_in(here(), sitting.id)
    assert world.desk(Starting).mine(here())[0].phase is Phase.DONE
    world.set_paper(state=PaperState.RELEASED.value)
    line = world.desk(Starting).mine(here())[0]
    assert (line.phase, line.told) == (Phase.RELEASED, (sitting.id,))
    assert list(world.desk(Starting).mine(here("eve"))) == []


def test_whoever_finds_the_free_variant_taken_by_another_starter_gets_an_own_one(
    storage: SqlStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two look at once and see one free variant, as happens while variants are still being drawn."""
    furnish(storage, variants=1)
    world, looked, ready = World(storage), [], Starting._ready

    def overtaken(desk: Starting, *asked: object) -> None:
        ready(desk, *asked)
        if not looked:
            looked.append("bob")
            world.desk(Starting).start(here("bob"), PAPER, 1, "")

    monkeypatch.setattr(Starting, "_ready", overtaken)
    ann = world.desk(Starting).start(here("ann"), PAPER, 1, "")
    assert sorted(each.variant for each in world.rows(SittingRow)) == [1, 2]
    assert ann.variant == 2
