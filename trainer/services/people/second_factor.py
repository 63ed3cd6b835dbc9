"""Second factor: codes by time (RFC 6238) and recovery codes on paper."""

from __future__ import annotations

import base64
import hmac
from collections.abc import Sequence
from datetime import datetime, timedelta

import pyotp

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor
from trainer.services.people.errors import AccountError
from trainer.services.people.here import Desk, Here
from trainer.services.people.names import LONGEST_SHORT, as_typed_to_sign_in
from trainer.services.people.records import Member, Person, SecondFactor, Standing
from trainer.services.people.secrets import (
    as_code,
    derived,
    hash_of,
    in_groups,
    is_like_a_recovery_code,
    new_recovery_code,
    new_token,
)
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import Role

_STEP_S = 30
# RFC 6238, 5.2: one step back for the way, one ahead for a clock that is fast.
_STEPS_EITHER_SIDE = 1
# RFC 4226, section 4: at least 128 bits, 160 recommended.
_SECRET_BYTES = 20
_RECOVERY_CODES = 10
_SALT_BYTES = 16
# Whoever signed in so long ago at most has given the password; who finds the browser later has not.
_JUST_NOW = timedelta(minutes=15)


class SecondFactors(Desk):
    """The use cases of the second factor."""

    def secret_of(self, factor: SecondFactor) -> str:
        """The secret in base32, as the person's device takes it. It is computed, so no copy lies in the database."""
        secret = derived(self.secret_key, "second factor", factor.person_id, factor.salt)[:_SECRET_BYTES]
        return base64.b32encode(secret).decode("ascii")

    def begin(self, person: Person) -> SecondFactor:
        """A factor to set up, the same again until it is confirmed. *Raises* AccountError when there is one."""
        with self.turn() as stored:
            known = stored.second_factors.get(person.id)
            if known is not None and known.confirmed_at is not None:
                problem = "is set up already; take it away first"
                raise AccountError(Problem(path="second_factor", problem=problem))
            if known is not None:
                return known
            salt = new_token()
            factor = SecondFactor(
                person_id=person.id, salt=salt, created_at=self.now(), confirmed_at=None, last_step=-1
            )
            stored.second_factors.put(factor)
            return factor

    def address_of(self, person: Person, factor: SecondFactor, issuer: str) -> str:
        """The address that a device reads from a QR code."""
        return pyotp.TOTP(self.secret_of(factor)).provisioning_uri(name=person.sign_in_name, issuer_name=issuer)

    def asks_for_password(self, standing: Standing) -> bool:
        """True where setting the factor up takes the password, since it was not given just now."""
        return self.now() - standing.session.created_at >= _JUST_NOW

    def confirm(self, standing: Standing, code: str, password: str) -> tuple[str, tuple[str, ...]]:
        """Sets the factor up with a first right code; gives a new token for the session, and recovery codes.

        *Raises* AccountError.
        """
        person = standing.person
        if self.asks_for_password(standing):
            self._check_password(person, password)
        codes = self._new_codes(person)
        with self.turn() as stored:
            factor = stored.second_factors.get(person.id)
            if factor is None or not self._takes(stored, factor, code):
                raise AccountError(_wrong())
            stored.second_factors.confirm(person.id, self.now())
            stored.audit.append(self.event(_actor(person), "person.second_factor_set_up", person.id))
            stored.second_factors.set_recovery_codes(person.id, codes.values())
            return self._passed(stored, standing), tuple(codes)

    def pass_with(self, standing: Standing, code: str) -> str | None:
        """A new token for a session whose person gave a right code or a recovery code; None for a wrong one."""
        person, on_paper = standing.person, self._as_kept(standing.person, as_code(code))
        with self.turn() as stored:
            factor = stored.second_factors.get(person.id)
            if factor is None or factor.confirmed_at is None:
                return None
            if self._takes(stored, factor, code):
                stored.audit.append(self.event(_actor(person), "person.gave_a_code", person.id))
                return self._passed(stored, standing)
            if any(stored.second_factors.use_recovery_code(person.id, each, self.now()) for each in on_paper):
                left = stored.second_factors.recovery_codes_left(person.id)
                event = self.event(_actor(person), "person.used_a_paper_code", person.id, left=left)
                stored.audit.append(event)
                return self._passed(stored, standing)
            return None

    def remove(self, standing: Standing, password: str) -> str:
        """Takes the factor away; gives a new token for the session. *Raises* AccountError."""
        person = standing.person
        self._check_password(person, password)
        with self.turn() as stored:
            stored.second_factors.remove(person.id)
            stored.audit.append(self.event(_actor(person), "person.second_factor_removed", person.id))
            return self._renewed(stored, standing, second_factor_at=None)

    def is_set_up(self, member: Member) -> bool:
        """True when the account of a member has a factor."""
        with self.storage.reading() as stored:
            factor = stored.second_factors.get(member.person_id) if member.person_id else None
            return factor is not None and factor.confirmed_at is not None

    def take_away(self, here: Here, member_id: str) -> Member:
        """Takes away what a member lost with a device; the sessions of the account end. *Raises* AccountError.

        Only where the account belongs to this organisation alone: the factor guards everything that it may do.
        """
        with self.turn() as stored:
            member = stored.members.get(here.organisation_id, member_id)
            person = stored.people.get(member.person_id) if member and member.person_id else None
            if member is None or person is None or not here.is_any(Role.ADMINISTRATOR):
                raise AccountError(Problem(path="member", problem="has no account here"))
            if person.is_operator or len(stored.members.of_person(person.id)) != 1:
                problem = "has other duties with this account; whoever runs the site can take the second factor away"
                raise AccountError(Problem(path="member", problem=problem))
            self._taken_away(stored, person)
            event = self.event(here.actor, "member.second_factor_taken_away", member.id, here.organisation_id)
            stored.audit.append(event)
            return member

    def take_away_of(self, name: str) -> Person:
        """The same for any account, where the program runs. *Raises* AccountError."""
        with self.turn() as stored:
            person = stored.people.by_sign_in_name(as_typed_to_sign_in(name))
            if person is None:
                raise AccountError(Problem(path="name", value=name[:LONGEST_SHORT], problem="is no account"))
            self._taken_away(stored, person)
            event = self.event(Actor(kind="command"), "person.second_factor_taken_away", person.id)
            stored.audit.append(event)
            return person

    def _taken_away(self, stored: PeopleRepositories, person: Person) -> None:
        if stored.second_factors.get(person.id) is None:
            raise AccountError(Problem(path="second_factor", problem="has no second factor"))
        stored.second_factors.remove(person.id)
        # Whoever has the device may be signed in with it.
        stored.sessions.revoke_all(person.id, self.now())

    def new_codes(self, standing: Standing, password: str) -> tuple[str, tuple[str, ...]]:
        """A new token for the session, and new recovery codes in place of the earlier ones. *Raises* AccountError."""
        person = standing.person
        self._check_password(person, password)
        codes = self._new_codes(person)
        with self.turn() as stored:
            stored.audit.append(self.event(_actor(person), "person.made_paper_codes", person.id))
            token = self._renewed(stored, standing, second_factor_at=standing.session.second_factor_at)
            stored.second_factors.set_recovery_codes(person.id, codes.values())
            return token, tuple(codes)

    def codes_left(self, person: Person) -> int:
        """How many recovery codes are unused."""
        with self.storage.reading() as stored:
            return stored.second_factors.recovery_codes_left(person.id)

    def _check_password(self, person: Person, password: str) -> None:
        if not self.hasher.verify(person.password_hash, password):
            raise AccountError(Problem(path="password", problem="is not the password of this account"))

    def _takes(self, stored: PeopleRepositories, factor: SecondFactor, code: str) -> bool:
        step = right_step(self.secret_of(factor), code, self.now().timestamp())
        return step is not None and stored.second_factors.use_step(factor.person_id, step)

    def _passed(self, stored: PeopleRepositories, standing: Standing) -> str:
        return self._renewed(stored, standing, second_factor_at=self.now())

    def _renewed(self, stored: PeopleRepositories, standing: Standing, *, second_factor_at: datetime | None) -> str:
        token = new_token()
        stored.sessions.rotate(standing.session.id, hash_of(token), second_factor_at=second_factor_at)
        return token

    def _new_codes(self, person: Person) -> dict[str, str]:
        """Codes as they are shown, each with what is kept of it."""
        codes: Sequence[str] = [new_recovery_code() for _ in range(_RECOVERY_CODES)]
        return {in_groups(code): self._slow_hash(person, code) for code in codes}

    def _as_kept(self, person: Person, code: str) -> Sequence[str]:
        """What a code on paper may be kept as: those that were made by earlier versions have no salt."""
        return (self._slow_hash(person, code), hash_of(code)) if is_like_a_recovery_code(code) else ()

    def _slow_hash(self, person: Person, code: str) -> str:
        # 54 bits would be tried out in a day by whoever has a copy of the database and a fast hash.
        salt = derived(self.secret_key, "paper codes", person.id)[:_SALT_BYTES]
        return self.hasher.hash_with(salt, code)


def right_step(secret: str, code: str, at_s: float) -> int | None:
    """The time step whose code this is, of those that are good at a time; None for a wrong code."""
    typed = "".join(code.split())
    now = int(at_s) // _STEP_S
    totp = pyotp.TOTP(secret)
    right = None
    # All are compared, so that the time taken tells nothing.
    for step in range(now - _STEPS_EITHER_SIDE, now + _STEPS_EITHER_SIDE + 1):
        if hmac.compare_digest(totp.generate_otp(step).encode(), typed.encode()):
            right = step
    return right


def _wrong() -> Problem:
    return Problem(path="code", problem="is not the code of this moment; wait for the next one and type it")


def _actor(person: Person) -> Actor:
    return Actor(kind="person", id=person.id)
