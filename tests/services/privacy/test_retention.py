"""Clearing what is older than it may be: how much at a time, what stays, what is noted; over plain lists."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from tests.web.conftest import NOON
from tests.web.people.conftest import member, person
from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.people.words import Role
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.times import DEFAULTS
from trainer.services.privacy.words import Kept

ACTOR = Actor(kind="job")
DAY = timedelta(days=1)


@dataclass
class Shelf:
    """Names of rows by kind and organisation, each older than any time; some of them will not go."""

    rows: dict[tuple[str, Kept], list[str]] = field(default_factory=dict)
    set_days: dict[tuple[str, Kept], int] = field(default_factory=dict)
    stays: frozenset[str] = frozenset()
    moments: list[datetime] = field(default_factory=list)
    turns: list[int] = field(default_factory=list)
    events: list[AuditEvent] = field(default_factory=list)

    @contextmanager
    def reading(self) -> Iterator[Shelf]:
        yield self

    writing = reading

    def giving_way(self, work: Callable[[Shelf], Any]) -> Any:
        return work(self)

    @property
    def shelves(self) -> Shelf:
        return self

    audit = eraser = copies = shelves

    def hold(self) -> None:
        """Nobody else writes."""

    def append(self, event: AuditEvent) -> None:
        self.events.append(event)

    def times(self) -> dict[tuple[str, Kept], int]:
        return self.set_days

    def set_time(self, organisation_id: str, kind: Kept, days: int, _at: datetime) -> None:
        self.set_days[organisation_id, kind] = days

    def organisations(self) -> Sequence[str]:
        return ("college", "firm")

    def count(self, kind: Kept, before: datetime, organisation_id: str) -> int:
        self.moments.append(before)
        return len(self.rows.get((organisation_id, kind), ()))

    def old(self, kind: Kept, _before: datetime, organisation_id: str, limit: int) -> Sequence[str]:
        return tuple(self.rows[organisation_id, kind][:limit])

    def clear(self, kind: Kept, _before: datetime, organisation_id: str, names: Sequence[str]) -> int:
        self.turns.append(len(names))
        return sum(self._gone((organisation_id, kind), name) for name in names)

    def _gone(self, place: tuple[str, Kept], name: str) -> bool:
        if name not in self.stays:
            self.rows[place].remove(name)
        return name not in self.stays

    # What erasing asks for.

    def person(self, person_id: str) -> Any:
        return person(person_id)

    def memberships(self, person_id: str) -> Sequence[Any]:
        return [self._joined(person_id)]

    def membership(self, organisation_id: str, member_id: str) -> Any:
        return self._joined(member_id, organisation_id)

    def _joined(self, member_id: str, organisation_id: str = "college") -> Any:
        return SimpleNamespace(
            member=member(member_id, organisation_id, Role.ADMINISTRATOR),
            organisation=SimpleNamespace(name="The college"),
        )

    def is_last_administrator(self, _organisation_id: str, member_id: str) -> bool:
        return member_id in self.stays

    def account(self, person_id: str, _at: datetime) -> dict[str, int]:
        return {"person": self._gone(("", Kept.ACCOUNTS), person_id)}

    def some_practice(self, _learner_id: str, _limit: int) -> dict[str, int]:
        return {}

    def practice(self, learner_id: str) -> dict[str, int]:
        return {"learner": self._gone(("", Kept.PRACTICE), learner_id)}

    def member_of(self, place: str, name: str) -> dict[str, int]:
        return {"member": self._gone((place, Kept.MEMBERS), name)}

    def __getattr__(self, name: str) -> Any:
        if name == "member":
            return lambda place, each, _at, _code: self.member_of(place, each)
        raise AttributeError(name)


def desk(shelf: Shelf, files: Any = None) -> tuple[Retention, list[None]]:
    paused: list[None] = []
    use = Retention(
        storage=shelf,  # type: ignore[arg-type]
        now=lambda: NOON,
        new_id=lambda: "new",
        pause=lambda: paused.append(None),
        files=files,
    )
    return use, paused


def named(number: int) -> list[str]:
    return [str(each) for each in range(number)]


@pytest.mark.parametrize(
    ("kind", "place", "rows", "turns"),
    [
        (Kept.LINKS, "", 1, [1]),
        (Kept.LINKS, "", 500, [500]),
        (Kept.LINKS, "", 1001, [500, 500, 1]),
        (Kept.ARRANGEMENTS, "firm", 501, [500, 1]),
        # Where much hangs on each row, a transaction holds fewer.
        (Kept.JOBS, "", 41, [20, 20, 1]),
        (Kept.ROSTERS, "", 40, [20, 20]),
        (Kept.SITTINGS, "college", 21, [20, 1]),
        (Kept.RECORDS, "college", 101, [50, 50, 1]),
    ],
)
def test_what_is_older_goes_in_short_transactions_with_a_pause_after_each(
    kind: Kept, place: str, rows: int, turns: list[int]
) -> None:
    shelf = Shelf(rows={(place, kind): named(rows)})
    use, paused = desk(shelf)
    (done,) = use.clear(ACTOR)
    assert (done.kind, done.organisation_id, done.rows) == (kind, place, rows)
    assert (done.days, done.before) == (DEFAULTS[kind].days, NOON - DEFAULTS[kind].days * DAY)
    assert (shelf.turns, len(paused)) == (turns, len(turns))
    (event,) = shelf.events
    assert (event.subject_id, event.organisation_id) == (kind.value, place or None)
    assert event.facts == {"days": DEFAULTS[kind].days, "rows": rows}


def test_rows_that_will_not_go_are_asked_for_once_and_those_beside_them_go() -> None:
    shelf = Shelf(rows={("", Kept.LINKS): named(3)}, stays=frozenset({"1"}))
    use, _ = desk(shelf)
    assert [each.rows for each in use.clear(ACTOR)] == [2]
    # All three, then the one that stayed, and no more.
    assert (shelf.turns, shelf.rows["", Kept.LINKS]) == ([3, 1], ["1"])


@pytest.mark.parametrize(("kind", "place"), [(Kept.ACCOUNTS, ""), (Kept.MEMBERS, "firm")])
def test_the_last_administrator_stays_and_everybody_else_of_a_thousand_goes(kind: Kept, place: str) -> None:
    stays = frozenset({"0", "700"})
    shelf = Shelf(rows={(place, kind): named(1001)}, stays=stays)
    use, paused = desk(shelf)
    assert [each.rows for each in use.clear(ACTOR)] == [999]
    assert (set(shelf.rows[place, kind]), len(paused)) == (stays, 999)


def test_hundreds_who_must_stay_hide_nobody_behind_them() -> None:
    # As many as are asked for at once, and one more, who may go.
    shelf = Shelf(rows={("", Kept.ACCOUNTS): named(501)}, stays=frozenset(named(500)))
    use, _ = desk(shelf)
    assert [each.rows for each in use.clear(ACTOR)] == [1]
    assert shelf.rows["", Kept.ACCOUNTS] == named(500)


def test_what_was_cleared_is_noted_for_each_kind() -> None:
    shelf = Shelf(rows={("", Kept.LINKS): named(2), ("firm", Kept.RECORDS): named(3)})
    desk(shelf)[0].clear(ACTOR)
    noted = [(each.subject_id, each.organisation_id, each.facts["rows"]) for each in shelf.events]
    assert noted == [("links", None, 2), ("records", "firm", 3)]


def test_practice_without_an_account_goes_with_one_entry_for_all() -> None:
    shelf = Shelf(rows={("", Kept.PRACTICE): named(3)})
    use, _ = desk(shelf)
    assert [each.rows for each in use.clear(ACTOR)] == [3]
    assert [each.action for each in shelf.events] == ["retention.cleared"]


def test_each_place_is_looked_at_for_its_own_kinds_with_the_days_that_hold_there() -> None:
    shelf = Shelf(set_days={("firm", Kept.MEMBERS): 10, ("", Kept.LINKS): 5})
    rows = {("", Kept.LINKS): named(1), ("firm", Kept.MEMBERS): named(2), ("college", Kept.MEMBERS): named(3)}
    shelf.rows = rows
    use, _ = desk(shelf)
    found = [(each.kind, each.organisation_id, each.days, each.rows) for each in use.due()]
    assert found == [(Kept.LINKS, "", 5, 1), (Kept.MEMBERS, "college", 1095, 3), (Kept.MEMBERS, "firm", 10, 2)]
    # Seven kinds of the site in the database and five of each organisation.
    assert len(shelf.moments) == 7 + 2 * 5
    assert NOON - 10 * DAY in shelf.moments
    assert use.times("firm")[Kept.MEMBERS] == 10
    assert use.times()[Kept.MEMBERS] == 1095


def test_mail_in_a_folder_is_counted_and_cleared_where_there_is_one() -> None:
    asked: list[datetime] = []
    files = SimpleNamespace(
        count=lambda before: asked.append(before) or 4, clear=lambda before: asked.append(before) or 3
    )
    use, _ = desk(Shelf(), files)
    (done,) = use.clear(ACTOR)
    assert (done.kind, done.rows, asked) == (Kept.MAIL, 3, [NOON - 30 * DAY] * 2)
    assert desk(Shelf())[0].clear(ACTOR) == ()


def test_a_time_that_is_set_holds_and_is_noted_with_its_place() -> None:
    shelf = Shelf()
    use, _ = desk(shelf)
    use.set_time(Kept.MEMBERS, 90, ACTOR, "college")
    use.set_time(Kept.LINKS, 7, ACTOR)
    assert (use.times("college")[Kept.MEMBERS], use.times()[Kept.LINKS]) == (90, 7)
    assert [(each.organisation_id, each.facts) for each in shelf.events] == [
        ("college", {"days": 90}),
        (None, {"days": 7}),
    ]
