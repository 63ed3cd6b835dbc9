"""A closed paper that two have sat, held in plain lists in place of a database."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import count
from types import SimpleNamespace
from typing import Any

from tests.persistence.papers.test_papers import PAPER
from tests.services.papers.test_counting import LINE
from tests.services.sittings.world import here
from tests.web.conftest import NOON
from trainer.services.operation.audit import AuditEvent
from trainer.services.papers.marking import MarkingDesk
from trainer.services.papers.records import Appeal, ItemMark, Moderation, Paper, SittingLine
from trainer.services.papers.words import AppealState, PaperState, SittingState
from trainer.services.people.here import Here

# Ten marks for the first task and two for the second; what each sitting earned was chosen by hand.
TASK = "hash of the task"
EARNED = {("a", 1): (4, 10), ("a", 2): (2, 2), ("b", 1): (10, 10), ("b", 2): (0, 2)}
LINES = (
    replace(LINE, id="a", member_id="ann", display_name="Ann", candidate_number="11111"),
    replace(LINE, id="b", member_id="ben", display_name="Ben", candidate_number="22222"),
    replace(LINE, id="c", member_id="cat", display_name="Cat", state=SittingState.RUNNING),
)


@dataclass
class Shelf:
    """Everything that the use cases of marks ask of storage; ``teachers`` may see the paper."""

    state: PaperState = PaperState.CLOSED
    teachers: frozenset[str] = frozenset({"lecturer"})
    lines_held: tuple[SittingLine, ...] = LINES
    changes: list[Moderation] = field(default_factory=list)
    notes: list[Appeal] = field(default_factory=list)
    events: list[AuditEvent] = field(default_factory=list)
    earned: dict[tuple[str, int], tuple[int, int]] = field(default_factory=lambda: dict(EARNED))
    counted: dict[str, tuple[int, int]] = field(default_factory=dict)

    @property
    def held(self) -> Paper:
        return replace(PAPER, state=self.state)

    @contextmanager
    def reading(self) -> Iterator[Shelf]:
        yield self

    writing = reading

    def __getattr__(self, name: str) -> Shelf:
        """Each part of the storage is this one."""
        if name in {"papers", "organisations", "tasks", "sittings", "audit"}:
            return self
        if name in {"moderations", "appeals"}:
            return _Kept(self, name)  # type: ignore[return-value]
        raise AttributeError(name)

    def get(self, organisation_id: str, paper_id: str = "") -> Any:
        if organisation_id == TASK:
            return SimpleNamespace(content=b"what was asked")
        return self.held if (organisation_id, paper_id) == (PAPER.organisation_id, PAPER.id) else None

    def may_see(self, _paper: Paper, member_id: str) -> bool:
        return member_id in self.teachers

    def line(self, organisation_id: str, sitting_id: str) -> tuple[Paper, SittingLine] | None:
        found = [each for each in self.lines_held if each.id == sitting_id]
        return (self.held, found[0]) if found and organisation_id == PAPER.organisation_id else None

    def lines(self, _organisation_id: str, _paper_id: str) -> tuple[SittingLine, ...]:
        return self.lines_held

    def item_marks(self, _paper_id: str, sitting_id: str | None = None) -> list[ItemMark]:
        return [
            ItemMark(
                sitting_id=sitting,
                position=position,
                slot=position,
                content_hash=TASK,
                marks=marks,
                marks_available=most,
            )
            for (sitting, position), (marks, most) in self.earned.items()
            if sitting_id in {None, sitting}
        ]

    def grade(self, sitting_id: str, position: int) -> bytes | None:
        return f"why {sitting_id} {position}".encode() if position == 1 else None

    def set_marks(self, sitting_id: str, marks: int, marks_available: int) -> None:
        self.counted[sitting_id] = (marks, marks_available)

    def append(self, event: AuditEvent) -> None:
        self.events.append(event)


@dataclass
class _Kept:
    """Changes of marks, or notes of learners."""

    shelf: Shelf
    name: str

    @property
    def rows(self) -> list[Any]:
        return self.shelf.changes if self.name == "moderations" else self.shelf.notes

    def add(self, row: Moderation | Appeal) -> None:
        self.rows.append(row)

    def of_paper(self, _organisation_id: str, _paper_id: str) -> list[Any]:
        return list(self.rows)

    def of_sitting(self, _organisation_id: str, sitting_id: str) -> list[Appeal]:
        return [each for each in self.rows if each.sitting_id == sitting_id]

    def get(self, _organisation_id: str, row_id: str) -> Appeal | None:
        return next((each for each in self.rows if each.id == row_id), None)

    def withdraw(self, _organisation_id: str, row_id: str, at: datetime) -> bool:
        for number, each in enumerate(self.rows):
            if each.id == row_id and each.withdrawn_at is None:
                self.rows[number] = replace(each, withdrawn_at=at)
                return True
        return False

    def close(self, answered: Appeal) -> bool:
        for number, each in enumerate(self.rows):
            if each.id == answered.id and each.state is AppealState.OPEN:
                self.rows[number] = answered
                return True
        return False


LATER = NOON + timedelta(hours=1)


def desk(shelf: Shelf) -> MarkingDesk:
    ids = count(1)
    return MarkingDesk(
        storage=shelf,  # type: ignore[arg-type]
        form=SimpleNamespace(read_task=bytes.decode),  # type: ignore[arg-type]
        now=lambda: LATER,
        new_id=lambda: f"id-{next(ids)}",
    )


LECTURER: Here = here("lecturer")
ANN, BEN = here("ann"), here("ben")
