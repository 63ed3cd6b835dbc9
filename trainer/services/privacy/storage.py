"""What the use cases of this subject ask of storage; persistence answers it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from trainer.services.operation.audit import AuditLog
from trainer.services.papers.storage import Papers
from trainer.services.people.records import Member, Organisation, Person
from trainer.services.privacy.words import Kept
from trainer.services.sittings.storage import Sittings

# Values that JSON holds; times as texts.
Row = Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """Rows as the text of a JSON list: of somebody who practised for years there are many."""

    text: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Membership:
    """A membership with its organisation."""

    member: Member
    organisation: Organisation


class Copies(Protocol):
    """What is stored about somebody, as rows without secrets, seeds and keys."""

    def person(self, person_id: str) -> Person | None:
        """The account."""

    def memberships(self, person_id: str) -> Sequence[Membership]:
        """All memberships of the account, those that ended too."""

    def membership(self, organisation_id: str, member_id: str) -> Membership | None:
        """One membership."""

    def account(self, person_id: str) -> Mapping[str, Sequence[Row]]:
        """Account, sessions, second factor by name of the table."""

    def in_organisation(self, member_id: str) -> Mapping[str, Sequence[Row]]:
        """What an organisation holds about a member, sittings left out, by name of the table."""

    def sittings(self, organisation_id: str, member_id: str) -> Sequence[str]:
        """Ids of all sittings of a member, refreshers too, first to last."""

    def sitting(self, sitting_id: str, *, with_marks: bool) -> Mapping[str, Sequence[Row]]:
        """A sitting with answers; marks only where they may be seen."""

    def practice(self, learner_id: str) -> Mapping[str, Written]:
        """What was practised, and the plan."""

    def log(self, ids: Sequence[str]) -> Sequence[Row]:
        """Entries of the audit chain that name one of the ids as actor or subject."""


class Eraser(Protocol):
    """Takes a person out of what is stored; what figures are made of stays."""

    def practice(self, learner_id: str) -> Mapping[str, int]:
        """Lets what was practised belong to nobody; rows changed by table."""

    def some_practice(self, learner_id: str, limit: int) -> Mapping[str, int]:
        """Does so with up to so many rows of the tables in which there may be very many; nothing where none is left."""

    def member(self, organisation_id: str, member_id: str, at: datetime, code: str) -> Mapping[str, int]:
        """Takes name, address, reference and notes of a member away; records get new codes made from ``code``."""

    def account(self, person_id: str, at: datetime) -> Mapping[str, int]:
        """Takes an account away; memberships end and belong to no account."""

    def is_last_administrator(self, organisation_id: str, member_id: str) -> bool:
        """True when nobody else could look after the organisation."""


class Shelves(Protocol):
    """Data by kind and age."""

    def organisations(self) -> Sequence[str]:
        """Ids of all organisations."""

    def count(self, kind: Kept, before: datetime, organisation_id: str) -> int:
        """How many rows are older."""

    def old(self, kind: Kept, before: datetime, organisation_id: str, limit: int) -> Sequence[str]:
        """What names up to so many that are older."""

    def clear(self, kind: Kept, before: datetime, organisation_id: str, names: Sequence[str]) -> int:
        """Deletes or empties those of them that are older still; gives the number. Not for kinds that are erased."""

    def times(self) -> Mapping[tuple[str, Kept], int]:
        """Days that were set, by organisation (empty: the site) and kind."""

    def set_time(self, organisation_id: str, kind: Kept, days: int, at: datetime) -> None:
        """Sets a time."""


class PrivacyRepositories(Protocol):
    """Everything of this subject in one transaction."""

    @property
    def copies(self) -> Copies:
        """What is stored about somebody."""

    @property
    def eraser(self) -> Eraser:
        """Takes a person out."""

    @property
    def shelves(self) -> Shelves:
        """Data by kind and age."""

    @property
    def papers(self) -> Papers:
        """Papers."""

    @property
    def sittings(self) -> Sittings:
        """Sittings."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""


class OldFiles(Protocol):
    """Files outside the database, such as mail in a folder."""

    def count(self, before: datetime) -> int:
        """How many are older."""

    def clear(self, before: datetime) -> int:
        """Deletes those that are older; gives the number."""
