"""The pattern of a crowd: one group, one firm and some histories of practice, made by the program's own use cases."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

from trainer.cli.inventing.college import college_of, finished_paper, going_on, group_of
from trainer.cli.inventing.crowd.practised import practised
from trainer.cli.inventing.crowd.rows import Rows, rows_of
from trainer.cli.inventing.firm import invent_firm
from trainer.cli.inventing.workshop import Clock, Form, Workshop
from trainer.config import sqlite_url
from trainer.domain.tasks import TaskKind
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.services.papers.blueprint import Blueprint, Slot
from trainer.services.papers.marking import MarkingDesk
from trainer.services.papers.needs import NeedsDesk, Wanted
from trainer.services.papers.settings import PaperSettings
from trainer.services.people.here import Here
from trainer.services.people.words import Role
from trainer.services.sittings.starting import Starting

_DAYS_BACK = 430
_MEMORY = "/dev/shm"  # noqa: S108 - a folder of its own in it
_PAPERS = (
    (
        "Residual current",
        Blueprint(
            slots=(
                Slot(kind=TaskKind.CHOOSE, level=1, objectives=("LO02",), marks=8),
                Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO03",), count=2, marks=4),
                Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO04",), count=2, marks=4),
                Slot(kind=TaskKind.MEASURE, level=1, marks=6),
            )
        ),
    ),
    (
        "Short questions",
        Blueprint(
            slots=tuple(
                Slot(kind=TaskKind.QUESTION, level=2, objectives=(name,), count=2, marks=2)
                for name in ("LO02", "LO05", "LO12", "LO21", "LO26")
            )
        ),
    ),
    (
        "What is at fault",
        Blueprint(
            slots=(
                Slot(kind=TaskKind.INSPECT, level=1, marks=8),
                Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO12",), count=4, marks=4),
            )
        ),
    ),
)
_STEPS = len(_PAPERS) + 2

Tell = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Learners of the group, and histories of practice."""

    group: int
    histories: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The rows of all tables, and the ids of those whose rows are picked by name."""

    rows: Mapping[str, Rows]
    college: str
    firm: str
    lecturer: str
    manager: str
    finished: tuple[str, ...]
    running: str
    histories: tuple[str, ...]


@contextmanager
def _scratch() -> Iterator[Database]:
    # In memory where there is such a place: thousands of small changes each wait for the disk otherwise.
    place = _MEMORY if os.access(_MEMORY, os.W_OK) else None
    with tempfile.TemporaryDirectory(prefix="trainer-pattern-", dir=place) as folder:
        database = Database(sqlite_url(Path(folder) / "pattern.sqlite3"))
        upgrade(database)
        yield database
        database.close()


def pattern_of(
    size: Size, draws: Random, form: Form, new_id: Callable[[], str], today: datetime, tell: Tell
) -> Pattern:
    """Makes the pattern in a database of its own that is thrown away; takes a minute or less.

    The same ``draws``, ids and day give the same pattern. ``tell`` hears how far it is.
    """
    with _scratch() as database:
        clock = Clock(today - timedelta(days=_DAYS_BACK))
        # Nobody signs in here; the copies get a password of their own.
        shop = Workshop(
            storage=SqlStorage(database), password=new_id(), clock=clock, form=form, new_id=new_id, random=draws
        )
        tell(0, _STEPS)
        invent_firm(shop, today)
        tell(1, _STEPS)
        college, lecturer, finished, running = _college(shop, size.group, today, tell)
        histories = tuple(practised(shop, number, today) for number in range(size.histories))
        tell(_STEPS, _STEPS)
        rows = rows_of(database)
    members = rows["member"]
    managers = {each[0] for each in rows["member_role"].rows if each[1] == Role.TRAINING_MANAGER.value}
    (manager,) = (each for each in members.rows if each[0] in managers)
    return Pattern(
        rows=rows,
        college=college,
        firm=manager[members.place("organisation_id")],
        lecturer=lecturer,
        manager=manager[0],
        finished=tuple(finished),
        running=running,
        histories=histories,
    )


def _college(shop: Workshop, number: int, today: datetime, tell: Tell) -> tuple[str, str, Sequence[str], str]:
    shop.clock.reach(today - timedelta(days=60))
    college = college_of(shop)
    lecturer = shop.member(college, Role.LECTURER)
    learners = [shop.member(college, Role.LEARNER) for _ in range(number)]
    group = group_of(shop, college, lecturer, learners)
    finished: list[str] = []
    for at, (title, blueprint) in enumerate(_PAPERS):
        shop.clock.reach(today - timedelta(days=40 - 10 * at))
        settings = PaperSettings(title=title, time_limit_min=45, pass_percent=60)
        finished.append(finished_paper(shop, lecturer, learners, group, settings, blueprint).id)
        tell(2 + at, _STEPS)
    _appealed(shop, learners, finished[0])
    shop.clock.reach(today - timedelta(minutes=30))
    running = going_on(shop, lecturer, learners, group).id
    wanted = Wanted(member_id=learners[-1].member_id, extra_time_percent=25, note="Invented")
    shop.papers(NeedsDesk).arrange(lecturer, running, wanted)
    return college.id, lecturer.member_id, finished, running


def _appealed(shop: Workshop, learners: Sequence[Here], paper_id: str) -> None:
    for learner in learners[:2]:
        lines = [each for each in shop.sittings(Starting).mine(learner) if each.paper.id == paper_id]
        note = "Invented: the sheet reads the other way."
        shop.papers(MarkingDesk).raise_appeal(learner, lines[0].sittings[0].id, 1, note)
