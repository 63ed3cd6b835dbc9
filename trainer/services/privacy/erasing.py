"""Erasing a person: names, addresses and notes go; marks, figures and the audit chain stay whole.

It touches rows of many tables that others save at the same moment, so it gives way: it begins anew where it would have
to wait, and no save of a person ever fails because of it. Years of practice go in transactions of some rows each, so
that no save waits for all of them; cut off in between, the next try does the rest.

What stays names nobody: an id that leads nowhere. The audit chain never held names, so nothing in it changes
(UK GDPR Article 17, and recital 26 on what no longer tells of a person).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, TypeVar

from trainer.domain.errors import Problem, TrainerError, UnknownNameError
from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.people.records import Person
from trainer.services.people.words import MemberState
from trainer.services.privacy.storage import Membership, PrivacyRepositories
from trainer.services.scopes import Promptly, Scopes, as_it_comes


class ErasureError(TrainerError):
    """Somebody who cannot be erased yet."""


T = TypeVar("T")

# How many rows of each table are concerned.
Rows = Mapping[str, int]

# Rows of practice in one transaction: some twenty milliseconds.
_ROWS_AT_ONCE: Final = 500


@dataclass(frozen=True, kw_only=True)
class Erasing:
    """Erases accounts, members, and practice without an account."""

    storage: Scopes[PrivacyRepositories]
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    # Between two transactions: whoever waits for a turn gets it.
    pause: Callable[[], None] = lambda: None
    # Whoever stands back for others must not do so while they wait for what it holds.
    promptly: Promptly = as_it_comes

    def account(self, person_id: str, actor: Actor, *, everywhere: bool = False) -> Rows:
        """Takes the account away; memberships end. ``everywhere`` also takes the name out of every organisation.

        Without it each organisation keeps what it must keep, for its own time.
        *Raises* UnknownNameError, ErasureError, GaveWayError.
        """
        with self.storage.reading() as stored:
            person, _ = _may_go(stored, person_id)
        gone = self.most_practice(person.learner_id) if person.learner_id else {}
        return self.given_way(lambda stored: self._account(stored, person_id, actor, gone, everywhere=everywhere))

    def member(self, organisation_id: str, member_id: str, actor: Actor) -> Rows:
        """Takes name, address, reference and notes out of one organisation. *Raises* UnknownNameError, ErasureError."""

        def work(stored: PrivacyRepositories) -> Rows:
            stored.audit.hold()
            found = stored.copies.membership(organisation_id, member_id)
            if found is None:
                raise UnknownNameError(Problem(path="member", problem="is not there in this organisation"))
            _keep_an_administrator(stored, found)
            return self._member(stored, found, actor)

        return self.given_way(work)

    def practice(self, learner_id: str, actor: Actor) -> Rows:
        """Lets what was practised without an account belong to nobody."""
        gone = self.most_practice(learner_id)

        def work(stored: PrivacyRepositories) -> Rows:
            rows = _added(gone, stored.eraser.practice(learner_id))
            # The id of somebody without an account is the key to the practice, so it stands nowhere.
            stored.audit.append(self._event(actor, "practice.erased", "without-account", None, rows))
            return rows

        return self.given_way(work)

    def given_way(self, work: Callable[[PrivacyRepositories], T]) -> T:
        """What the work gives in one transaction that lets others go first. *Raises* GaveWayError."""
        return self.promptly(lambda: self.storage.giving_way(work))

    def most_practice(self, learner_id: str) -> Rows:
        """Lets all but the last few rows of what was practised belong to nobody. *Raises* GaveWayError."""
        gone: Rows = {}
        while True:
            some = self.given_way(lambda stored: stored.eraser.some_practice(learner_id, _ROWS_AT_ONCE))
            gone = _added(gone, some)
            if sum(some.values()) < _ROWS_AT_ONCE:
                return gone
            self.pause()

    def _account(
        self, stored: PrivacyRepositories, person_id: str, actor: Actor, gone: Rows, *, everywhere: bool
    ) -> Rows:
        stored.audit.hold()
        person, joined = _may_go(stored, person_id)
        # The account refers to the learner, so it goes first.
        rows = _added(gone, stored.eraser.account(person_id, self.now()))
        if person.learner_id is not None:
            rows = _added(rows, stored.eraser.practice(person.learner_id))
        for each in joined if everywhere else ():
            rows = _added(rows, self._member(stored, each, actor))
        stored.audit.append(self._event(actor, "person.erased", person_id, None, rows))
        return rows

    def _member(self, stored: PrivacyRepositories, joined: Membership, actor: Actor) -> Rows:
        member = joined.member
        rows = stored.eraser.member(member.organisation_id, member.id, self.now(), self.new_id())
        stored.audit.append(self._event(actor, "member.erased", member.id, member.organisation_id, rows))
        return rows

    def _event(self, actor: Actor, action: str, subject_id: str, organisation_id: str | None, rows: Rows) -> AuditEvent:
        return AuditEvent(
            at=self.now(),
            actor=actor,
            action=action,
            subject_kind=action.partition(".")[0],
            subject_id=subject_id,
            organisation_id=organisation_id,
            facts={"rows": sum(rows.values())},
        )


def _keep_an_administrator(stored: PrivacyRepositories, joined: Membership) -> None:
    member = joined.member
    if member.state is MemberState.ACTIVE and stored.eraser.is_last_administrator(member.organisation_id, member.id):
        problem = f"is the only administrator of {joined.organisation.name}; make another one first"
        raise ErasureError(Problem(path="account", problem=problem))


def _may_go(stored: PrivacyRepositories, person_id: str) -> tuple[Person, Sequence[Membership]]:
    person = stored.copies.person(person_id)
    if person is None:
        raise UnknownNameError(Problem(path="account", problem="is not there; was it erased already?"))
    joined = stored.copies.memberships(person_id)
    for each in joined:
        _keep_an_administrator(stored, each)
    return person, joined


def _added(before: Rows, more: Rows) -> Rows:
    return {table: before.get(table, 0) + more.get(table, 0) for table in (*before, *more)}
