"""Holds to the times for which data is kept: says what is older, and clears it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.privacy.erasing import Erasing, ErasureError
from trainer.services.privacy.storage import OldFiles
from trainer.services.privacy.times import DEFAULTS, checked_days, days_kept, kinds
from trainer.services.privacy.words import Kept
from trainer.services.scopes import GaveWayError

# Rows of one transaction: others write in between. Where much hangs on each, fewer: some twenty milliseconds.
_AT_ONCE = 500
_FEWER: Final = {Kept.SITTINGS: 20, Kept.JOBS: 20, Kept.ROSTERS: 20, Kept.RECORDS: 50}
_ERASED = frozenset({Kept.PRACTICE, Kept.ACCOUNTS, Kept.INVITATIONS, Kept.MEMBERS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """How much of one kind is older than it may be; for the site (empty) or one organisation."""

    kind: Kept
    organisation_id: str
    days: int
    before: datetime
    rows: int


@dataclass(frozen=True, kw_only=True)
class Retention(Erasing):
    """Times of keeping, and clearing what is older."""

    files: OldFiles | None = None

    def times(self, organisation_id: str = "") -> dict[Kept, int]:
        """The days that hold, for the site or for an organisation."""
        with self.storage.reading() as stored:
            own = stored.shelves.times()
        return {kind: days_kept(kind, organisation_id, own) for kind in DEFAULTS}

    def set_time(self, kind: Kept, days: int, actor: Actor, organisation_id: str = "") -> None:
        """Sets a time for the site, or for an organisation. *Raises* OutOfRangeError."""
        now = self.now()
        with self.storage.writing() as stored:
            stored.shelves.set_time(organisation_id, kind, checked_days(days), now)
            event = AuditEvent(
                at=now,
                actor=actor,
                action="retention.set",
                subject_kind="retention",
                subject_id=kind.value,
                organisation_id=organisation_id or None,
                facts={"days": days},
            )
            stored.audit.append(event)

    def due(self) -> Sequence[Due]:
        """What is older than it may be, with nothing changed."""
        now = self.now()
        with self.storage.reading() as stored:
            own = stored.shelves.times()
            places = [("", kind) for kind in kinds(of_organisation=False)]
            for organisation_id in stored.shelves.organisations():
                places += [(organisation_id, kind) for kind in kinds(of_organisation=True)]
            found = []
            for organisation_id, kind in places:
                days = days_kept(kind, organisation_id, own)
                before = now - timedelta(days=days)
                if kind is Kept.MAIL:
                    rows = self.files.count(before) if self.files else 0
                else:
                    rows = stored.shelves.count(kind, before, organisation_id)
                found.append(Due(kind=kind, organisation_id=organisation_id, days=days, before=before, rows=rows))
        return tuple(each for each in found if each.rows)

    def clear(self, actor: Actor) -> Sequence[Due]:
        """Clears what is older; gives what was cleared. Interrupted, the next run goes on."""
        done = []
        for each in self.due():
            rows = self._cleared(each, actor)
            done.append(
                Due(
                    kind=each.kind,
                    organisation_id=each.organisation_id,
                    days=each.days,
                    before=each.before,
                    rows=rows,
                )
            )
            self._note(done[-1], actor)
        return tuple(done)

    def _cleared(self, each: Due, actor: Actor) -> int:
        if each.kind is Kept.MAIL:
            return self.files.clear(each.before) if self.files else 0
        return self._erased(each, actor) if each.kind in _ERASED else self._emptied(each)

    def _emptied(self, each: Due) -> int:
        rows, at_once = 0, _FEWER.get(each.kind, _AT_ONCE)
        while names := self._old(each, _AT_ONCE):
            # Looked for outside of the transactions: it takes longer than to clear them.
            found = [self._emptied_some(each, names[at : at + at_once]) for at in range(0, len(names), at_once)]
            rows += sum(found)
            if not any(found):
                break
        return rows

    def _emptied_some(self, each: Due, names: Sequence[str]) -> int:
        def work() -> int:
            with self.storage.writing() as stored:
                return stored.shelves.clear(each.kind, each.before, each.organisation_id, names)

        rows = self.promptly(work)
        self.pause()
        return rows

    def _erased(self, each: Due, actor: Actor) -> int:
        rows = 0
        refused: set[str] = set()
        while True:
            ids = [one for one in self._old(each, len(refused) + _AT_ONCE) if one not in refused]
            for one in ids:
                try:
                    self._erase(each, one, actor)
                    rows += 1
                    self.pause()
                except (ErasureError, GaveWayError):
                    # The last administrator of an organisation stays until there is another; whoever is at work
                    # at this moment is tried again by the next run.
                    refused.add(one)
            if not ids:
                return rows

    def _old(self, each: Due, limit: int) -> Sequence[str]:
        with self.storage.reading() as stored:
            return stored.shelves.old(each.kind, each.before, each.organisation_id, limit)

    def _erase(self, each: Due, one: str, actor: Actor) -> None:
        if each.kind is Kept.PRACTICE:
            # One entry for all of them: hundreds of thousands may visit.
            self.most_practice(one)
            self.given_way(lambda stored: stored.eraser.practice(one))
        elif each.kind is Kept.ACCOUNTS:
            self.account(one, actor)
        else:
            self.member(each.organisation_id, one, actor)

    def _note(self, done: Due, actor: Actor) -> None:
        event = AuditEvent(
            at=self.now(),
            actor=actor,
            action="retention.cleared",
            subject_kind="retention",
            subject_id=done.kind.value,
            organisation_id=done.organisation_id or None,
            facts={"days": done.days, "rows": done.rows},
        )
        with self.storage.writing() as stored:
            stored.audit.append(event)
