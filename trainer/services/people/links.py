"""Links that work once and for an hour: invitations and new passwords."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor
from trainer.services.people.errors import AccountError, LinkError
from trainer.services.people.here import STAFF, Here
from trainer.services.people.names import as_typed_to_sign_in, checked_name, checked_sign_in_name
from trainer.services.people.passwords import check_password
from trainer.services.people.records import Member, Person, Standing, Token
from trainer.services.people.secrets import hash_of, new_token
from trainer.services.people.signing_in import SignedIn, SigningIn
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import MemberState, TokenPurpose

GOOD_FOR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A link that was made: its token, to whom it goes if it can go by mail, and until when it is good."""

    token: str
    email: str | None
    name: str
    expires_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """What an invitation leads to; ``sign_in_name`` is fixed where it proves an address."""

    member: Member | None
    person: Person | None
    organisation_name: str
    sign_in_name: str | None
    has_account: bool


class Links(SigningIn):
    """The use cases of links."""

    def invite(self, here: Here, member_id: str) -> Issued:
        """An invitation for a member who has no account here yet. *Raises* AccountError."""
        with self.turn() as stored:
            member = stored.members.get(here.organisation_id, member_id)
            if member is None or member.state is not MemberState.INVITED:
                raise AccountError(Problem(path="member", problem="has an account already, or left"))
            return self.invitation(stored, member, here.actor)

    def invitation(self, stored: PeopleRepositories, member: Member, actor: Actor) -> Issued:
        """An invitation within a transaction."""
        event = self.event(actor, "member.invited", member.id, member.organisation_id)
        stored.audit.append(event)
        return self._issue(stored, TokenPurpose.INVITATION, member=member)

    def operator_invitation(self, person: Person) -> Issued:
        """A link by which a new operator chooses a password."""
        with self.turn() as stored:
            return self._issue(stored, TokenPurpose.INVITATION, person=person)

    def ask_for_reset(self, typed: str) -> list[Issued]:
        """Links for all accounts of this name or address that can get mail; empty where there is none."""
        name = as_typed_to_sign_in(typed)
        with self.turn() as stored:
            named = stored.people.by_sign_in_name(name)
            found = {each.id: each for each in ([named] if named else []) + list(stored.people.by_email(name))}
            return [self._issue(stored, TokenPurpose.RESET, person=person) for person in found.values() if person.email]

    def reset_by_hand(self, here: Here, member_id: str) -> Issued:
        """A link for a learner without an address, to be handed over in person.

        Only where the account belongs to this organisation alone and nothing but learns: a link
        opens everything that the account may do. *Raises* AccountError.
        """
        with self.turn() as stored:
            member = stored.members.get(here.organisation_id, member_id)
            person = stored.people.get(member.person_id) if member and member.person_id else None
            if member is None or person is None:
                raise AccountError(Problem(path="member", problem="has no account yet; send an invitation"))
            memberships = stored.members.of_person(person.id)
            if person.email or person.is_operator or len(memberships) != 1 or member.roles & STAFF:
                problem = "must ask for a new password at the sign-in page: the account has an address or other duties"
                raise AccountError(Problem(path="member", problem=problem))
            stored.audit.append(self.event(here.actor, "member.reset_handed_over", member.id, here.organisation_id))
            return self._issue(stored, TokenPurpose.RESET, person=person)

    def invitation_of(self, token: str) -> Invitation:
        """What an invitation leads to. *Raises* LinkError."""
        with self.storage.reading() as stored:
            found = self._good(stored, token, TokenPurpose.INVITATION)
            return self._invitation(stored, found)

    def accept(self, token: str, *, name: str, display_name: str, password: str, device: str) -> SignedIn:
        """Makes the account of an invitation and signs it in. *Raises* LinkError, AccountError, PasswordError."""
        with self.storage.reading() as stored:
            invitation = self._invitation(stored, self._good(stored, token, TokenPurpose.INVITATION))
        sign_in_name = invitation.sign_in_name or checked_sign_in_name(name)
        shown = checked_name(display_name, "display_name")
        check_password(password, names=(sign_in_name, shown, invitation.organisation_name))
        hashed = self.hasher.hash(password)
        with self.turn() as stored:
            # Read again: an administrator may have changed the entry meanwhile.
            invitation = self._invitation(stored, self._good(stored, token, TokenPurpose.INVITATION))
            self._use(stored, token)
            if invitation.person is not None:
                stored.people.change(invitation.person.id, display_name=shown)
                person = self.set_password(stored, replace(invitation.person, display_name=shown), hashed)
            else:
                person = self.new_person(stored, sign_in_name, shown, hashed)
            if invitation.member is not None:
                self._join(stored, invitation.member, person)
            return self.begin(stored, person, device)

    def accept_with_account(self, token: str, standing: Standing) -> str:
        """Lets an account that is signed in take up an invitation; gives the member's id. *Raises* LinkError."""
        with self.turn() as stored:
            invitation = self._invitation(stored, self._good(stored, token, TokenPurpose.INVITATION))
            if invitation.member is None:
                raise LinkError(_unusable())
            self._use(stored, token)
            self._join(stored, invitation.member, standing.person)
            stored.sessions.work_in(standing.session.id, invitation.member.id)
            return invitation.member.id

    def reset_of(self, token: str) -> Person:
        """Whose password a link changes. *Raises* LinkError."""
        with self.storage.reading() as stored:
            found = self._good(stored, token, TokenPurpose.RESET)
            person = stored.people.get(found.person_id) if found.person_id else None
            if person is None:
                raise LinkError(_unusable())
            return person

    def reset(self, token: str, password: str) -> Person:
        """Sets a new password and ends all sessions. *Raises* LinkError, PasswordError."""
        person = self.reset_of(token)
        check_password(password, names=(person.sign_in_name, person.display_name))
        hashed = self.hasher.hash(password)
        with self.turn() as stored:
            self._use(stored, token)
            return self.set_password(stored, person, hashed)

    def new_person(
        self, stored: PeopleRepositories, sign_in_name: str, display_name: str, hashed: str | None
    ) -> Person:
        """A new account within a transaction. *Raises* AccountError when the name is taken."""
        now = self.now()
        person = Person(
            id=self.new_id(),
            sign_in_name=sign_in_name,
            email=sign_in_name if "@" in sign_in_name else None,
            display_name=display_name,
            password_hash=hashed,
            password_changed_at=now if hashed else None,
            is_operator=False,
            learner_id=None,
            created_at=now,
        )
        if not stored.people.add(person):
            problem = "is taken; choose another name, or sign in if it is yours"
            raise AccountError(Problem(path="sign_in_name", value=sign_in_name, problem=problem))
        stored.audit.append(self.event(Actor(kind="person", id=person.id), "person.made", person.id))
        return person

    def _join(self, stored: PeopleRepositories, member: Member, person: Person) -> None:
        joined = replace(member, person_id=person.id, state=MemberState.ACTIVE)
        if not stored.members.change(joined):
            problem = "this account is in the organisation already, under another entry"
            raise AccountError(Problem(path="invitation", problem=problem))
        event = self.event(Actor(kind="person", id=person.id), "member.joined", member.id, member.organisation_id)
        stored.audit.append(event)

    def _issue(
        self,
        stored: PeopleRepositories,
        purpose: TokenPurpose,
        *,
        member: Member | None = None,
        person: Person | None = None,
    ) -> Issued:
        now, token = self.now(), new_token()
        stored.tokens.add(
            Token(
                token_hash=hash_of(token),
                purpose=purpose,
                person_id=person.id if person else None,
                member_id=member.id if member else None,
                created_at=now,
                expires_at=now + GOOD_FOR,
            )
        )
        to = member.email if member else person.email if person else None
        name = member.display_name if member else person.display_name if person else ""
        return Issued(token=token, email=to, name=name, expires_at=now + GOOD_FOR)

    def _good(self, stored: PeopleRepositories, token: str, purpose: TokenPurpose) -> Token:
        found = stored.tokens.get(hash_of(token))
        if found is None or found.purpose is not purpose or found.used_at or found.expires_at <= self.now():
            raise LinkError(_unusable())
        return found

    def _use(self, stored: PeopleRepositories, token: str) -> None:
        if not stored.tokens.use(hash_of(token), self.now()):
            raise LinkError(_unusable())

    def _invitation(self, stored: PeopleRepositories, token: Token) -> Invitation:
        member = stored.members.find(token.member_id) if token.member_id else None
        person = stored.people.get(token.person_id) if token.person_id else None
        if person is not None:
            return Invitation(
                member=None, person=person, organisation_name="", sign_in_name=person.sign_in_name, has_account=False
            )
        organisation = stored.organisations.get(member.organisation_id) if member else None
        if member is None or organisation is None or member.state is not MemberState.INVITED:
            raise LinkError(_unusable())
        known = stored.people.by_sign_in_name(member.email) if member.email else None
        return Invitation(
            member=member,
            person=None,
            organisation_name=organisation.name,
            sign_in_name=member.email,
            has_account=known is not None,
        )


def _unusable() -> Problem:
    problem = "was used already, is older than an hour, or was never made; ask for a new one"
    return Problem(path="link", problem=problem)
