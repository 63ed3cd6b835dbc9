"""What the use cases of programmes ask of storage; persistence answers it.

Whatever belongs to an organisation is asked for together with it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from trainer.services.operation.audit import AuditLog
from trainer.services.people.storage import Organisations
from trainer.services.programmes.records import (
    AskedLine,
    AssignedLine,
    Assignment,
    Filter,
    Programme,
    Share,
    Somebody,
    Tally,
    TrainingRecord,
)
from trainer.services.programmes.words import ReminderKind, Standing
from trainer.services.sittings.records import Sitting, SittingItem
from trainer.services.storage import Tasks

Place = tuple[str, str]
"""Where a page of a list begins: what it is sorted by, and the id."""


class Programmes(Protocol):
    """Programmes with their objectives and sites."""

    def add(self, programme: Programme) -> None:
        """Stores a new one."""

    def get(self, organisation_id: str, programme_id: str) -> Programme | None:
        """The programme with this id in this organisation."""

    def all(self, organisation_id: str) -> Sequence[Programme]:
        """All of an organisation by title."""

    def change(self, programme: Programme, *, seen: int) -> bool:
        """Stores it as the revision after ``seen``; False when another one is stored by now."""

    def running(self) -> Sequence[Programme]:
        """The active programmes of all organisations that are not suspended, for the daily command."""


class Assignments(Protocol):
    """Who is in which programme."""

    def get(self, organisation_id: str, assignment_id: str) -> AssignedLine | None:
        """The assignment with its member."""

    def change(self, assignment: Assignment) -> None:
        """Stores the assignment as it is now."""

    def missing(self, programme: Programme) -> Sequence[str]:
        """Ids of members whom the programme is for and who are not assigned."""

    def add(self, assignments: Sequence[Assignment]) -> None:
        """Stores new ones, leaving those that are there."""

    def end_surplus(self, programme: Programme) -> int:
        """Ends those whose member the programme is no longer for; gives their number."""

    def take_back(self, programme: Programme, first_due_at: datetime) -> int:
        """Opens ended ones again whose member the programme is for; who never passed gets a new due day."""

    def page(
        self, programme: Programme, today: date, chosen: Filter, after: Place | None, limit: int
    ) -> Sequence[AssignedLine]:
        """People in a programme by due day."""

    def tallies(self, programmes: Sequence[Programme], today: date) -> Sequence[Tally]:
        """How many stand how, by programme and role, of programmes of one organisation."""

    def of_members(self, organisation_id: str, member_ids: Sequence[str]) -> Sequence[Assignment]:
        """All assignments of some members that have not ended."""

    def assessed_under(
        self, organisation_id: str, edition: str, programme_ids: Sequence[str], after: Place | None, limit: int
    ) -> Sequence[AssignedLine]:
        """People last assessed under an edition, by name."""

    def count_under(self, organisation_id: str, programme_ids: Sequence[str]) -> Mapping[str, int]:
        """How many were last assessed under each edition; the empty name is never."""

    def to_remind(
        self, programme: Programme, today: date, standing: Standing, kind: ReminderKind, limit: int
    ) -> Sequence[AssignedLine]:
        """Those that stand like this and have had no reminder of this kind for their due day."""

    def reminded(self, assignment: Assignment, kind: ReminderKind, at: datetime) -> bool:
        """Notes that a reminder goes out; False when one did."""

    def not_reminded(self, assignment: Assignment, kind: ReminderKind) -> None:
        """Takes the note back: the reminder could not be sent."""

    def last_reminders(self, assignment_ids: Sequence[str]) -> Mapping[str, datetime]:
        """When each was last reminded."""


class FirmPeople(Protocol):
    """Members as the lists of a firm show them."""

    def page(self, organisation_id: str, chosen: Filter, after: Place | None, limit: int) -> Sequence[Somebody]:
        """Members by name."""

    def count(self, organisation_id: str, chosen: Filter) -> int:
        """How many all pages hold."""

    def get(self, organisation_id: str, member_id: str) -> Somebody | None:
        """The member with this id."""


class Refreshers(Protocol):
    """Sittings of assignments."""

    def add(self, sitting: Sitting, items: Sequence[SittingItem]) -> bool:
        """Stores a sitting with its items; False when this attempt is there already."""

    def latest(self, organisation_id: str, assignment_id: str) -> Sitting | None:
        """The newest sitting of an assignment."""

    def get(self, organisation_id: str, sitting_id: str) -> Sitting | None:
        """The sitting with this id, if it is one of a refresher."""

    def to_settle(self, assignment_ids: Sequence[str] | None, limit: int) -> Sequence[Sitting]:
        """Sittings of some assignments or of all that pass, later than what was last passed, without a record."""

    def shares(self, organisation_id: str, member: Somebody) -> Mapping[str, Share]:
        """What the member earned towards each objective when it was last assessed, else in practice."""

    def sums(self, sitting_id: str) -> Sequence[Share]:
        """What it earned towards each objective."""

    def rule_set(self, sitting_id: str, number: int) -> tuple[str, str] | None:
        """Edition and rule set of a marking."""

    def asked(self, sitting_ids: Sequence[str]) -> Sequence[AskedLine]:
        """Everything that was asked in some sittings, by sitting and position."""


class Records(Protocol):
    """Training records."""

    def add(self, record: TrainingRecord) -> bool:
        """Stores a new one; False when the sitting has one, or the code is taken."""

    def get(self, organisation_id: str, record_id: str) -> TrainingRecord | None:
        """The record with this id."""

    def by_code(self, code: str) -> TrainingRecord | None:
        """The record with this code, in whatever organisation: for whoever was given the code."""

    def of_sitting(self, sitting_id: str) -> TrainingRecord | None:
        """The record that a sitting gave."""

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[TrainingRecord]:
        """All records of a member, newest first."""

    def page(
        self, organisation_id: str, chosen: Filter, after: Place | None, limit: int, *, in_force_on: date | None = None
    ) -> Sequence[TrainingRecord]:
        """Records of an organisation, newest first; or only those in force on a day."""

    def count(self, organisation_id: str, chosen: Filter, *, in_force_on: date | None = None) -> int:
        """How many all pages hold."""

    def change(self, record: TrainingRecord) -> None:
        """Stores visibility and revocation."""


class ProgrammeRepositories(Protocol):
    """Everything about programmes, seen through one transaction."""

    @property
    def programmes(self) -> Programmes:
        """Programmes with their objectives and sites."""

    @property
    def assignments(self) -> Assignments:
        """Who is in which programme."""

    @property
    def people(self) -> FirmPeople:
        """Members as lists show them."""

    @property
    def refreshers(self) -> Refreshers:
        """Sittings of assignments."""

    @property
    def records(self) -> Records:
        """Training records."""

    @property
    def organisations(self) -> Organisations:
        """The organisation with its sites and roles."""

    @property
    def tasks(self) -> Tasks:
        """Tasks by the hash of their content."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""
