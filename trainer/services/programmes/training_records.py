"""Training records: shown to their holder and the firm, checked by third parties, revoked with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from trainer.domain.errors import Problem
from trainer.services.people.here import Here
from trainer.services.programmes.codes import as_typed
from trainer.services.programmes.dates import day_of
from trainer.services.programmes.desk import ProgrammesBase, manages
from trainer.services.programmes.errors import RecordError
from trainer.services.programmes.records import Filter, TrainingRecord
from trainer.services.programmes.storage import Place, ProgrammeRepositories
from trainer.services.programmes.words import NameVisibility

PAGE = 50
_LONGEST_REASON = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a third party reads under a code: nothing but what the holder allows."""

    record: TrainingRecord
    organisation_name: str
    name: str
    is_in_force: bool


def is_in_force(record: TrainingRecord, today: date) -> bool:
    """True while it is neither revoked nor past its last day."""
    return record.revoked_at is None and (record.valid_until is None or today <= day_of(record.valid_until))


def name_shown(record: TrainingRecord) -> str:
    """The holder's name as far as the holder allows; empty when hidden."""
    if record.name_visibility is NameVisibility.FULL:
        return record.holder_name
    if record.name_visibility is NameVisibility.INITIALS:
        return " ".join(f"{part[0]}." for part in record.holder_name.split())
    return ""


class RecordsDesk(ProgrammesBase):
    """The use cases of training records."""

    def checked(self, typed: str) -> Checked | None:
        """What a code shows, None for one that nobody has and for a revoked record alike."""
        with self.storage.reading() as stored:
            record = stored.records.by_code(as_typed(typed))
            # Asked for in any case, so that the time of the answer tells no more than the answer.
            organisation = stored.organisations.get(record.organisation_id if record else "")
        if record is None or record.revoked_at is not None or organisation is None:
            return None
        return Checked(
            record=record,
            organisation_name=organisation.name,
            name=name_shown(record),
            is_in_force=is_in_force(record, self.today()),
        )

    def of_member(self, here: Here, member_id: str) -> Sequence[TrainingRecord]:
        """All records of a member, newest first."""
        with self.storage.reading() as stored:
            return stored.records.of_member(here.organisation_id, member_id)

    def page(self, here: Here, chosen: Filter, after: Place | None) -> Sequence[TrainingRecord]:
        """The firm's records, the longest valid first, one more than a page holds."""
        with self.storage.reading() as stored:
            return stored.records.page(here.organisation_id, chosen, after, PAGE + 1)

    def get(self, here: Here, record_id: str) -> TrainingRecord:
        """A record, to its holder and to whoever manages programmes. *Raises* RecordError."""
        with self.storage.reading() as stored:
            return self._seen(stored, here, record_id)

    def show_name(self, here: Here, record_id: str, visibility: NameVisibility) -> None:
        """Lets the holder decide how much of the name third parties read. *Raises* RecordError."""
        with self.storage.writing() as stored:
            record = self._seen(stored, here, record_id)
            if record.member_id != here.member_id:
                raise RecordError(Problem(path="record", problem="is another's; only the holder decides on the name"))
            stored.records.change(replace(record, name_visibility=visibility))
            stored.audit.append(
                self.event(
                    here.actor, "record.name_shown", record_id, here.organisation_id, visibility=visibility.value
                )
            )

    def revoke(self, here: Here, record_id: str, reason: str) -> None:
        """Revokes a record for good, with the reason. *Raises* RecordError."""
        why = " ".join(reason.split())
        if not why or len(why) > _LONGEST_REASON:
            problem = f"write the reason, in up to {_LONGEST_REASON} characters; the holder will read it"
            raise RecordError(Problem(path="reason", value=why[:40] or None, problem=problem))
        with self.storage.writing() as stored:
            record = self._seen(stored, here, record_id)
            if record.revoked_at is not None:
                raise RecordError(Problem(path="record", problem="is revoked already"))
            revoked = replace(record, revoked_at=self.now(), revoked_by=here.member_id, revoked_reason=why)
            stored.records.change(revoked)
            self._make_due_again(stored, record)
            stored.audit.append(self.event(here.actor, "record.revoked", record_id, here.organisation_id))

    def _make_due_again(self, stored: ProgrammeRepositories, record: TrainingRecord) -> None:
        """Whose newest pass is revoked is no longer current by it."""
        for each in stored.assignments.of_members(record.organisation_id, [record.member_id]):
            if each.programme_id == record.programme_id and each.due_at == record.valid_until:
                stored.assignments.change(replace(each, due_at=self.now(), last_passed_at=None, last_edition=None))

    def _seen(self, stored: ProgrammeRepositories, here: Here, record_id: str) -> TrainingRecord:
        record = stored.records.get(here.organisation_id, record_id)
        if record is None or not (record.member_id == here.member_id or manages(here)):
            raise RecordError(Problem(path="record", problem="is not one of yours"))
        return record
