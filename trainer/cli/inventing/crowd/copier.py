"""Copies sheaves with new ids, moved times and other names, and remembers what the log must say of them."""

from __future__ import annotations

import base64
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random
from typing import Any

from trainer.cli.inventing.crowd.rows import moved
from trainer.cli.inventing.crowd.sheaves import Sheaf
from trainer.persistence.keeping.bulk import Bulk
from trainer.persistence.tables import Base
from trainer.services.operation.audit import Actor, AuditEntry, AuditEvent, entry_after

# What the program's own random ids have.
_ID_BYTES = 18
_ANSWERS = frozenset({"attempt", "saved_answer"})

Change = Callable[[Mapping[str, int], list[Any]], None]
"""Changes a row in place; gets the places of the columns."""
Changes = Mapping[str, Change]
"""By table."""


def new_ids(draws: Random) -> Callable[[], str]:
    """Ids as the program makes them, from draws that can be repeated."""
    return lambda: base64.urlsafe_b64encode(draws.randbytes(_ID_BYTES)).decode()


@dataclass(kw_only=True)
class Copier:
    """Where copies go. ``tell`` hears of each bundle of answers that was taken."""

    bulk: Bulk
    draws: Random
    tell: Callable[[int], None]
    answers: int = 0
    _events: list[AuditEvent] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Ids come from the draws."""
        self.new_id = new_ids(self.draws)

    def copy(
        self, sheaf: Sheaf, known: Mapping[str, str], shift: timedelta, changes: Changes | None = None
    ) -> dict[str, str]:
        """Copies a sheaf; gives the new ids by the old ones, those that were known among them."""
        ids = {**known, **{each: self.new_id() for each in sheaf.own}}
        changes = changes or {}
        for part in sheaf.parts:
            rows = [moved(row, ids, shift) for row in part.rows]
            if change := changes.get(part.table):
                for row in rows:
                    change(part.places, row)
            self.bulk.put(part.table, rows)
            if part.table in _ANSWERS:
                self.answers += len(rows)
                self.tell(len(rows))
        self._note(sheaf, ids, shift)
        return ids

    def add(self, table: str, **values: Any) -> None:
        """A row of its own; what is not named is empty."""
        self.bulk.put(table, [[values.get(column.name) for column in Base.metadata.tables[table].columns]])

    def _note(self, sheaf: Sheaf, ids: Mapping[str, str], shift: timedelta) -> None:
        for each in sheaf.happened:
            facts = {
                name: ids.get(value, value) if isinstance(value, str) else value for name, value in each.facts.items()
            }
            self._events.append(
                AuditEvent(
                    at=each.at + shift,
                    actor=Actor(kind=each.actor_kind, id=ids.get(each.actor_id or "", each.actor_id)),
                    action=each.action,
                    subject_kind=each.subject_kind,
                    subject_id=ids.get(each.subject_id, each.subject_id),
                    organisation_id=ids.get(each.organisation_id or "", each.organisation_id),
                    facts=facts,
                )
            )

    def enter_log(self) -> int:
        """Enters all that happened, in the order of its times, as one chain; gives the number of entries."""
        self._events.sort(key=lambda each: each.at)
        names = [column.name for column in Base.metadata.tables["audit_entry"].columns]
        entry: AuditEntry | None = None
        for event in self._events:
            entry = entry_after(entry, event)
            self.bulk.put("audit_entry", [[getattr(entry, name) for name in names]])
            self.bulk.settle()
        return len(self._events)


def spread(total: int, weights: Sequence[float]) -> list[int]:
    """Whole numbers that add up to the total, in proportion to the weights; what is over goes to the first ones."""
    whole = math.fsum(weights)
    shares = [int(total * each / whole) for each in weights]
    for at in range(total - sum(shares)):
        shares[at % len(shares)] += 1
    return shares
