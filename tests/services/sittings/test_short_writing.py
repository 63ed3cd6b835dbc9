"""What takes time is done before others have to wait: SQLite has one writer, and each save is one.

*Source* sqlite.org, "Transaction": BEGIN IMMEDIATE keeps all other writers out until it ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TypeVar

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from tests.services.sittings.world import PAPER, World, here
from trainer.persistence.sittings.repositories import SqlSittingRepositories
from trainer.persistence.tables.sittings import GradingRow
from trainer.services.scopes import Scopes
from trainer.services.sittings.desk import SittingForm
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Sitting
from trainer.services.sittings.starting import Starting
from trainer.web.sittings.wired import SittingStoredForm

T = TypeVar("T")


@dataclass
class Watched:
    """Scopes that know whether somebody writes."""

    scopes: Scopes[SqlSittingRepositories]
    is_writing: bool = False
    times: int = 0

    @contextmanager
    def reading(self) -> Iterator[SqlSittingRepositories]:
        assert not self.is_writing, "reads on another connection while others wait to write"
        with self.scopes.reading() as stored:
            yield stored

    @contextmanager
    def writing(self) -> Iterator[SqlSittingRepositories]:
        self.times += 1
        with self.scopes.writing() as stored:
            self.is_writing = True
            try:
                yield stored
            finally:
                self.is_writing = False


@dataclass
class Form:
    """The usual form, which notes whether somebody writes whenever it is asked."""

    watched: Watched
    usual: SittingForm = field(default_factory=SittingStoredForm)
    asked: list[tuple[str, bool]] = field(default_factory=list)

    def __getattr__(self, name: str) -> object:
        self.asked.append((name, self.watched.is_writing))
        return getattr(self.usual, name)


@dataclass
class Prompt:
    """Does what is to be done promptly, and notes how often each of it writes."""

    watched: Watched
    times: list[int] = field(default_factory=list)

    def __call__(self, work: Callable[[], T], /) -> T:
        before = self.watched.times
        done = work()
        self.times.append(self.watched.times - before)
        return done


@pytest.fixture
def sitting(world: World) -> Sitting:
    return world.desk(Starting).start(here(), PAPER, 1, "")


@pytest.fixture
def watched(world: World) -> Watched:
    return Watched(world.desk(Finishing).storage)


@pytest.fixture
def form(watched: Watched) -> Form:
    return Form(watched)


def finishing(world: World, watched: Watched, form: Form) -> Finishing:
    return replace(world.desk(Finishing), storage=watched, form=form)


def test_whoever_hands_in_marks_while_others_write(
    world: World, sitting: Sitting, watched: Watched, form: Form
) -> None:
    finishing(world, watched, form).hand_in(here(), sitting.id)
    assert {"read_task", "write_grade"} <= {name for name, _ in form.asked}
    assert not any(is_writing for _, is_writing in form.asked)
    assert len(world.rows(GradingRow)) == 1
    # One to hand in, one to keep the marks.
    assert watched.times == 2


def test_the_runner_marks_while_others_write_and_keeps_the_marks_promptly(
    world: World, sitting: Sitting, watched: Watched, form: Form
) -> None:
    left_unmarked(world, sitting)
    prompt = Prompt(watched)
    assert replace(finishing(world, watched, form), promptly=prompt).close_due() == 1
    assert len(world.rows(GradingRow)) == 1
    assert not any(is_writing for _, is_writing in form.asked)
    # It only looks whether it is still to be marked, and writes once, by whoever does not stand back.
    assert (sum(prompt.times), watched.times) == (1, 1)


def test_the_runner_ends_and_marks_what_is_past_its_time_by_whoever_does_not_stand_back(
    world: World, sitting: Sitting, watched: Watched, form: Form
) -> None:
    world.clock.pass_by(hours=2)
    prompt = Prompt(watched)
    assert replace(finishing(world, watched, form), promptly=prompt).close_due() == 1
    assert not any(is_writing for _, is_writing in form.asked)
    # One to end it, one to keep the marks.
    assert (sum(prompt.times), watched.times) == (2, 2)


def test_nothing_is_worked_out_between_the_first_statement_of_a_marking_and_its_end(
    world: World, sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Packing the explanations takes as long as all statements together."""
    from trainer.persistence.sittings import gradings

    told: list[str] = []
    usual = gradings.packed
    monkeypatch.setattr(gradings, "packed", lambda value: (told.append("packed"), usual(value))[1])
    left_unmarked(world, sitting)
    with statements_of(told):
        world.desk(Finishing).close_due()
    first = told.index("INSERT INTO grading")
    assert told.index("packed") < first
    assert "packed" not in told[first:]
    assert "INSERT INTO item_grading" in told[first:]


def test_a_hand_in_changes_the_sitting_once_and_writes_to_the_chain_last(world: World, sitting: Sitting) -> None:
    """In PostgreSQL whoever writes to the chain waits from there to the end of the transaction."""
    told: list[str] = []
    with statements_of(told):
        world.desk(Finishing).hand_in(here(), sitting.id)
    end = told.index("COMMIT")
    handing_in = [each for each in told[:end] if each.startswith(("INSERT", "UPDATE"))]
    assert handing_in == ["UPDATE sitting SET", "INSERT INTO audit_entry"]
    assert told[end - 1] == "INSERT INTO audit_entry"


def left_unmarked(world: World, sitting: Sitting) -> None:
    class Leaves(Finishing):
        def marked(self, one: Sitting) -> Sitting:
            return one

    world.desk(Leaves).hand_in(here(), sitting.id)


@contextmanager
def statements_of(told: list[str]) -> Iterator[None]:
    """The first three words of each statement, and each end of a transaction, in their order."""

    def executed(*arguments: object) -> None:
        told.append(" ".join(str(arguments[2]).split()[:3]))

    def committed(*_arguments: object) -> None:
        told.append("COMMIT")

    listened: Sequence[tuple[str, object]] = (("before_cursor_execute", executed), ("commit", committed))
    for name, heard in listened:
        event.listen(Engine, name, heard)
    try:
        yield
    finally:
        for name, heard in listened:
            event.remove(Engine, name, heard)
