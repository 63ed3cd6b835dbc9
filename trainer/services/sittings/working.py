"""While somebody sits: an item is shown, answers are saved, the clock stands in rest breaks, the whole is reviewed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.papers.records import Paper
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here
from trainer.services.sittings.answers import read, written
from trainer.services.sittings.clock import breaks_left_s, is_late, left_s, seconds_until, with_break_ended
from trainer.services.sittings.desk import SittingDesk, content_of, own
from trainer.services.sittings.errors import NotYoursError, SittingError, SittingOverError, SittingPausedError
from trainer.services.sittings.records import OPEN_STATES, Answerable, Answers, SavedAnswer, Sitting, SittingItem

_LOOK_S = 5
"""How far apart looks at the clock are stored; pages that follow each other faster only read."""


class SaveState(StrEnum):
    """What became of a save."""

    SAVED = "saved"
    LATE = "late"
    OLDER = "older"
    PAUSED = "paused"
    OVER = "over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Which save it is: the page's random id, its sequence number, and the number that the page had seen."""

    sender: str
    sequence: int
    base: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What became of a save, what stands there now, and how much time is left."""

    state: SaveState
    stands: SavedAnswer | None
    left_s: int | None

    @property
    def is_kept(self) -> bool:
        """True when what was sent is durable."""
        return self.state in {SaveState.SAVED, SaveState.LATE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A sitting with its paper, and how its clock stands now."""

    sitting: Sitting
    paper: Paper | None
    now: datetime
    left_s: int | None
    breaks_left_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemView:
    """One item with the task and what stands in it."""

    standing: Standing
    items: tuple[SittingItem, ...]
    item: SittingItem
    task: Task
    saved: SavedAnswer | None
    answers: Answers


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLine:
    """One item before handing in: what is answered, what is not, what cannot be read yet."""

    item: SittingItem
    title: str
    kind: str
    asked: tuple[str, ...]
    unanswered: tuple[str, ...]
    unfinished: tuple[str, ...]
    saved_at: datetime | None

    @property
    def is_whole(self) -> bool:
        """True when everything is answered."""
        return not self.unanswered


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """All items before handing in."""

    standing: Standing
    lines: tuple[ReviewLine, ...]

    @property
    def unanswered(self) -> int:
        """How many decisions are open in all."""
        return sum(len(each.unanswered) for each in self.lines)


class Working(SittingDesk):
    """What a person does between start and hand-in."""

    def look(self, here: Here, sitting_id: str) -> Standing:
        """The sitting as it stands; ended where its time is up. *Raises* NotYoursError."""
        now = self.now()
        with self.storage.reading() as stored:
            sitting = own(stored, here, sitting_id)
            paper = stored.papers.get(here.organisation_id, sitting.paper_id) if sitting.paper_id else None
        seen = sitting.last_seen_at or sitting.started_at
        if sitting.is_open and abs((now - seen).total_seconds()) >= _LOOK_S:
            sitting = self._noted(here, sitting, now)
        return _standing(sitting, paper, now)

    def _noted(self, here: Here, sitting: Sitting, now: datetime) -> Sitting:
        """The sitting after a look at the clock that is stored."""
        ends = self.timely.look(here.organisation_id, here.member_id, sitting.id, now)
        if ends is not None and sitting.state is SittingState.RUNNING:
            return replace(sitting, deadline_at=ends, last_seen_at=now)
        with self.storage.writing() as stored:
            return self.looked_at(stored, own(stored, here, sitting.id, hold=True), now)

    def item(self, here: Here, sitting_id: str, position: int) -> ItemView:
        """An item of a sitting that runs. *Raises* NotYoursError, SittingOverError, SittingError in a break."""
        standing = self.look(here, sitting_id)
        _check_runs(standing.sitting.state)
        with self.storage.reading() as stored:
            items = tuple(stored.sittings.items(sitting_id))
            item = next((each for each in items if each.position == position), None)
            if item is None:
                raise NotYoursError(Problem(path="position", value=position, problem="no such item"))
            task = self.task(stored, item.content_hash)
            saved = stored.answers.get(sitting_id, position)
        return ItemView(
            standing=standing,
            items=items,
            item=item,
            task=task,
            saved=saved,
            answers=read(saved),
        )

    def answerable(self, here: Here, sitting_id: str, position: int) -> Answerable:
        """What an item of a sitting asks, for reading an answer. *Raises* as ``item`` does.

        Of an item that is known nothing is asked of the storage: the save looks at the clock.
        """
        whose = f"{here.organisation_id} {here.member_id} {sitting_id} {position}"
        content_hash = self.known.items.of(whose, lambda: self._running(here, sitting_id, position))
        return self.known.answerable.of(content_hash, lambda: self._asked(content_hash))

    def _running(self, here: Here, sitting_id: str, position: int) -> str:
        with self.storage.reading() as stored:
            found = stored.sittings.state_and_task(here.organisation_id, here.member_id, sitting_id, position)
        if found is None:
            raise NotYoursError(Problem(path="sitting", problem="is not one of yours, or has no such item"))
        state, content_hash = found
        _check_runs(state)
        return content_hash

    def _asked(self, content_hash: str) -> Answerable:
        with self.storage.reading() as stored:
            return self.form.answerable(content_of(stored, content_hash))

    def save(self, here: Here, sitting_id: str, position: int, answers: Answers, stamp: Stamp) -> Saved:
        """Keeps what stands in an item; when this returns, what it says is durable. *Raises* NotYoursError."""
        answers_json, certainty_json = written(answers)
        now = self.now()
        new = SavedAnswer(
            position=position,
            sequence=stamp.sequence,
            sender=stamp.sender,
            answers_json=answers_json,
            certainty_json=certainty_json,
            saved_at=now,
            late=False,
        )
        ends = self.timely.keep(here.organisation_id, here.member_id, sitting_id, new, base=stamp.base)
        if ends is not None:
            return Saved(state=SaveState.SAVED, stands=new, left_s=seconds_until(ends, now))
        return self._weighed(here, sitting_id, new, base=stamp.base)

    def _weighed(self, here: Here, sitting_id: str, new: SavedAnswer, *, base: int) -> Saved:
        """A save that does not simply go through: in a break, at the end, after another's, or by a clock set back."""
        now, position = new.saved_at, new.position
        with self.storage.writing() as stored:
            before = own(stored, here, sitting_id, hold=True)
            sitting = self.looked_at(stored, before, now)
            left = left_s(sitting, now)
            if not sitting.is_open or sitting.state is SittingState.PAUSED:
                # Two pages may send at once, and a browser may have been without network: no harm, but told.
                state = SaveState.PAUSED if sitting.is_open else SaveState.OVER
                if before.state is SittingState.RUNNING:
                    # The one that met the end; a page that goes on trying must not fill the log.
                    stored.audit.append(self.event(here.actor, "sitting.save_refused", sitting, why=state.value))
                return Saved(state=state, stands=stored.answers.get(sitting_id, position), left_s=left)
            new = replace(new, late=is_late(sitting, now))
            stands = new
            if not stored.answers.put(sitting_id, new, base=base):
                found = stored.answers.get(sitting_id, position)
                if found is None:
                    raise NotYoursError(Problem(path="position", value=position, problem="no such item"))
                if not _is_same(found, new):
                    return Saved(state=SaveState.OLDER, stands=found, left_s=left)
                stands = found
            elif new.late:
                stored.audit.append(self.event(here.actor, "sitting.saved_late", sitting, position=position))
        # What came in time and is sent again because the answer was lost stays in time.
        return Saved(state=SaveState.LATE if stands.late else SaveState.SAVED, stands=stands, left_s=left)

    def flag(self, here: Here, sitting_id: str, position: int, *, flagged: bool) -> None:
        """Marks an item to come back to, or takes the mark away. *Raises* NotYoursError, SittingOverError."""
        with self.storage.writing() as stored:
            sitting = self.looked_at(stored, own(stored, here, sitting_id, hold=True), self.now())
            if sitting.is_open and not stored.sittings.flag(sitting_id, position, flagged=flagged):
                raise NotYoursError(Problem(path="position", value=position, problem="no such item"))

    def rest(self, here: Here, sitting_id: str) -> Standing:
        """Stops the clock, for those who have rest breaks left. *Raises* SittingError."""
        now = self.now()
        with self.storage.writing() as stored:
            sitting = self.looked_at(stored, own(stored, here, sitting_id, hold=True), now)
            if sitting.state is SittingState.RUNNING:
                if breaks_left_s(sitting, now) <= 0:
                    raise SittingError(Problem(path="break", problem="no rest break is left; the clock runs on"))
                sitting = replace(sitting, state=SittingState.PAUSED, paused_at=now)
                stored.sittings.begin_break(sitting_id, now)
                stored.sittings.change(sitting)
                stored.audit.append(self.event(here.actor, "sitting.break_began", sitting))
        return self.look(here, sitting_id)

    def go_on(self, here: Here, sitting_id: str) -> Standing:
        """Lets the clock run again. *Raises* NotYoursError."""
        now = self.now()
        with self.storage.writing() as stored:
            sitting = self.looked_at(stored, own(stored, here, sitting_id, hold=True), now)
            if sitting.state is SittingState.PAUSED:
                stored.sittings.end_break(sitting_id, now)
                sitting = with_break_ended(sitting, now)
                stored.sittings.change(sitting)
                stored.audit.append(self.event(here.actor, "sitting.break_ended", sitting, paused_s=sitting.paused_s))
        return self.look(here, sitting_id)

    def review(self, here: Here, sitting_id: str) -> Review:
        """Everything before handing in. *Raises* NotYoursError."""
        standing = self.look(here, sitting_id)
        with self.storage.reading() as stored:
            items = stored.sittings.items(sitting_id)
            saved = stored.answers.all(sitting_id)
            contents = {each.position: stored.tasks.get(each.content_hash) for each in items}
        lines = [
            self._line(each, content.content, saved)
            for each in items
            if (content := contents[each.position]) is not None
        ]
        return Review(standing=standing, lines=tuple(lines))

    def _line(self, item: SittingItem, content: bytes, saved: Mapping[int, SavedAnswer]) -> ReviewLine:
        answers = read(saved.get(item.position))
        asked: Sequence[str] = self.form.asked(content)
        title, kind = self.form.title(content)
        unanswered = tuple(name for name in asked if name not in answers.given)
        raw = " ".join(answers.unfinished)
        return ReviewLine(
            item=item,
            title=title,
            kind=kind,
            asked=tuple(asked),
            unanswered=unanswered,
            unfinished=tuple(name for name in unanswered if name in raw),
            saved_at=saved[item.position].saved_at if item.position in saved else None,
        )


def _standing(sitting: Sitting, paper: Paper | None, now: datetime) -> Standing:
    return Standing(
        sitting=sitting,
        paper=paper,
        now=now,
        left_s=left_s(sitting, now),
        breaks_left_s=breaks_left_s(sitting, now),
    )


def _check_runs(state: SittingState) -> None:
    if state not in OPEN_STATES:
        raise SittingOverError(Problem(path="sitting", problem="was handed in"))
    if state is SittingState.PAUSED:
        raise SittingPausedError(Problem(path="sitting", problem="the clock stands; go on first"))


def _is_same(stands: SavedAnswer, new: SavedAnswer) -> bool:
    """True when the save is one that was taken before and came again."""
    return (stands.sender, stands.sequence, stands.answers_json, stands.certainty_json) == (
        new.sender,
        new.sequence,
        new.answers_json,
        new.certainty_json,
    )
