"""A copy of everything that is stored about a person, for the person."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from trainer.domain.errors import Problem, UnknownNameError
from trainer.services.people.here import without_session
from trainer.services.privacy.storage import Membership, PrivacyRepositories, Written
from trainer.services.scopes import Scopes
from trainer.services.sittings.desk import is_told

FORMAT = "personal-data"
VERSION = 1

# A document that JSON holds once what is written already is put into its place.
Document = Mapping[str, object]


def text_of(document: Document) -> str:
    """The document as JSON (RFC 8259), a line for each value, for people who read it."""
    return _text(document)


def _text(value: object) -> str:
    if isinstance(value, Written):
        return value.text
    if isinstance(value, Mapping):
        return "{" + ",\n".join(f"{json.dumps(name)}: {_text(value[name])}" for name in sorted(value)) + "}"
    # By indentation it would take five times as long.
    return json.dumps(value, ensure_ascii=False, sort_keys=True, default=str, separators=(",\n", ": "))


@dataclass(frozen=True, kw_only=True)
class PersonalCopies:
    """Copies in a documented form (UK GDPR Articles 15 and 20). Marks come with their release, keys never."""

    storage: Scopes[PrivacyRepositories]
    now: Callable[[], datetime]

    def of_account(self, person_id: str) -> Document:
        """Account, sessions, practice, and what each organisation holds. *Raises* UnknownNameError."""
        with self.storage.reading() as stored:
            person = stored.copies.person(person_id)
            if person is None:
                raise UnknownNameError(Problem(path="account", problem="is not there; was it erased already?"))
            joined = stored.copies.memberships(person_id)
            ids = [person_id, *(each.member.id for each in joined)]
            practice = stored.copies.practice(person.learner_id) if person.learner_id else {}
            return {
                **self._head(),
                "account": stored.copies.account(person_id),
                "practice": practice,
                "organisations": [self._membership(stored, each) for each in joined],
                "log": stored.copies.log(ids),
            }

    def of_member(self, organisation_id: str, member_id: str) -> Document:
        """What one organisation holds about a member. *Raises* UnknownNameError."""
        with self.storage.reading() as stored:
            found = stored.copies.membership(organisation_id, member_id)
            if found is None:
                raise UnknownNameError(Problem(path="member", problem="is not there in this organisation"))
            return {
                **self._head(),
                "organisations": [self._membership(stored, found)],
                "log": stored.copies.log([member_id]),
            }

    def of_practice(self, learner_id: str) -> Document:
        """What was practised without an account."""
        with self.storage.reading() as stored:
            return {**self._head(), "practice": stored.copies.practice(learner_id)}

    def _head(self) -> dict[str, object]:
        return {"format": FORMAT, "version": VERSION, "made_at": self.now().isoformat()}

    def _membership(self, stored: PrivacyRepositories, joined: Membership) -> Document:
        sittings = [
            stored.copies.sitting(each, with_marks=self._told(stored, joined, each))
            for each in stored.copies.sittings(joined.organisation.id, joined.member.id)
        ]
        return {
            "organisation": joined.organisation.name,
            **stored.copies.in_organisation(joined.member.id),
            "sittings": sittings,
        }

    def _told(self, stored: PrivacyRepositories, joined: Membership, sitting_id: str) -> bool:
        organisation_id = joined.organisation.id
        sitting = stored.sittings.get(organisation_id, sitting_id)
        if sitting is None:
            return False
        paper = stored.papers.get(organisation_id, sitting.paper_id) if sitting.paper_id else None
        return is_told(without_session(joined.organisation, joined.member), paper, sitting, self.now())
