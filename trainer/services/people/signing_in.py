"""Signing in and out, and the sessions of a person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor
from trainer.services.people.errors import AccountError
from trainer.services.people.here import STAFF, Desk
from trainer.services.people.names import as_typed_to_sign_in
from trainer.services.people.passwords import check_password
from trainer.services.people.records import Person, Session, Standing
from trainer.services.people.secrets import hash_of, new_token
from trainer.services.people.storage import PeopleRepositories

# How long a session may lie idle, and how long it lasts at most.
IDLE_STAFF, LONGEST_STAFF = timedelta(hours=2), timedelta(hours=12)
IDLE_LEARNER, LONGEST_LEARNER = timedelta(days=7), timedelta(days=30)
# Use is noted once in this time, so that reading a page does not write.
_NOTED_EVERY = timedelta(minutes=5)
_LONGEST_DEVICE = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """A new session with the token that its browser keeps."""

    token: str
    session: Session
    person: Person


class SigningIn(Desk):
    """The use cases of sessions."""

    def sign_in(self, name: str, password: str, device: str) -> SignedIn | None:
        """A new session, or None: whether the name or the password is wrong is not told, nor by the time taken."""
        with self.storage.reading() as stored:
            person = stored.people.by_sign_in_name(as_typed_to_sign_in(name))
        fits = self.hasher.verify(person.password_hash if person else None, password)
        if person is None or not fits:
            return None
        old = person.password_hash or ""
        renewed = self.hasher.hash(password) if self.hasher.is_outdated(old) else None
        with self.storage.writing() as stored:
            now = self.now()
            held = stored.people.signed_in(person.id, now, password_hash=old)
            if held is None:
                # It was changed while this one was checked: whoever changed it wants old ones out.
                return None
            if renewed is not None:
                stored.people.change(person.id, password_hash=renewed)
            return self._begun(stored, held, device, now)

    def begin(self, stored: PeopleRepositories, person: Person, device: str) -> SignedIn:
        """A new session within a transaction."""
        now = self.now()
        stored.people.change(person.id, last_signed_in_at=now)
        return self._begun(stored, person, device, now)

    def _begun(self, stored: PeopleRepositories, person: Person, device: str, now: datetime) -> SignedIn:
        token = new_token()
        memberships = stored.members.of_person(person.id)
        is_staff = person.is_operator or any(each.roles & STAFF for each in memberships)
        session = Session(
            id=self.new_id(),
            token_hash=hash_of(token),
            person_id=person.id,
            member_id=memberships[0].member_id if memberships else None,
            device=device[:_LONGEST_DEVICE],
            created_at=now,
            last_seen_at=now,
            expires_at=now + (LONGEST_STAFF if is_staff else LONGEST_LEARNER),
        )
        stored.sessions.add(session)
        stored.audit.append(self.event(_actor(person), "person.signed_in", person.id))
        return SignedIn(token=token, session=session, person=person)

    def standing(self, token: str) -> Standing | None:
        """Who this token belongs to, or None when the session ended."""
        found = self.standings.standing(hash_of(token))
        return None if found is None or self.now() >= ends_at(found) else found

    def seen(self, standing: Standing) -> None:
        """Notes now and then that a session is used."""
        now = self.now()
        if now - standing.session.last_seen_at >= _NOTED_EVERY:
            with self.storage.writing() as stored:
                stored.sessions.seen(standing.session.id, now)

    def sign_out(self, standing: Standing) -> None:
        """Ends the session."""
        self.revoke(standing.person, standing.session.id)

    def sessions(self, person: Person) -> Sequence[Session]:
        """Where the person is signed in now, newest first."""
        now = self.now()
        with self.storage.reading() as stored:
            return tuple(each for each in stored.sessions.of_person(person.id) if each.expires_at > now)

    def revoke(self, person: Person, session_id: str) -> bool:
        """Ends one session of the person; False where there is none."""
        with self.storage.writing() as stored:
            ended = stored.sessions.revoke(person.id, session_id, self.now())
            if ended:
                stored.audit.append(self.event(_actor(person), "person.session_ended", person.id))
            return ended

    def revoke_others(self, standing: Standing) -> int:
        """Ends all other sessions of the person; gives their number."""
        with self.storage.writing() as stored:
            ended = stored.sessions.revoke_all(standing.person.id, self.now(), but=standing.session.id)
            event = self.event(_actor(standing.person), "person.session_ended", standing.person.id, others=ended)
            stored.audit.append(event)
            return ended

    def work_in(self, standing: Standing, member_id: str) -> bool:
        """Chooses the organisation to work in; False when the person is not a member there."""
        with self.storage.writing() as stored:
            known = {each.member_id for each in stored.members.of_person(standing.person.id)}
            if member_id in known:
                stored.sessions.work_in(standing.session.id, member_id)
            return member_id in known

    def change_password(self, standing: Standing, old: str, new: str) -> str:
        """Changes the password, ends all other sessions, and gives this one a new token, which it returns.

        *Raises* AccountError, PasswordError.
        """
        person = standing.person
        if not self.hasher.verify(person.password_hash, old):
            raise AccountError(Problem(path="old_password", problem="is not the password of this account"))
        check_password(new, names=(person.sign_in_name, person.display_name))
        hashed, token = self.hasher.hash(new), new_token()
        with self.storage.writing() as stored:
            self.set_password(stored, person, hashed, but=standing.session.id)
            factor_at = standing.session.second_factor_at
            stored.sessions.rotate(standing.session.id, hash_of(token), second_factor_at=factor_at)
        return token

    def set_password(self, stored: PeopleRepositories, person: Person, hashed: str, but: str | None = None) -> Person:
        """Stores a password within a transaction and ends the sessions that the old one began."""
        now = self.now()
        changed = replace(person, password_hash=hashed, password_changed_at=now)
        stored.people.change(person.id, password_hash=hashed, password_changed_at=now)
        stored.sessions.revoke_all(person.id, now, but=but)
        stored.audit.append(self.event(_actor(person), "person.changed_credentials", person.id))
        return changed


def idle_limit(standing: Standing) -> timedelta:
    """How long this session may lie idle: shorter for whoever can change what others did."""
    is_long = standing.session.expires_at - standing.session.created_at > LONGEST_STAFF
    return IDLE_LEARNER if is_long and not _is_staff(standing) else IDLE_STAFF


def ends_at(standing: Standing) -> datetime:
    """When the session ends if it is not used again; one that began as a learner's lasts no longer for staff."""
    session = standing.session
    ends = min(session.expires_at, session.last_seen_at + idle_limit(standing))
    return min(ends, session.created_at + LONGEST_STAFF) if _is_staff(standing) else ends


def _is_staff(standing: Standing) -> bool:
    roles = standing.member.roles if standing.member else frozenset()
    return standing.person.is_operator or bool(roles & STAFF)


def _actor(person: Person) -> Actor:
    return Actor(kind="person", id=person.id)
