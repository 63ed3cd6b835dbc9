"""Accounts, sessions and links in the database."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Executable, bindparam, delete, insert, literal, select, update
from sqlalchemy.orm import Session as SqlSession

from trainer.persistence.models import AttemptRow, LearnerRow, OutcomeRow, PageRow
from trainer.persistence.people.rows import columns_of, fields_of, table_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.accounts import PersonRow, SignedInRow, SingleUseTokenRow
from trainer.services.people.records import Person, Session, Token
from trainer.services.people.words import TokenPurpose


class SqlPeople:
    """Accounts."""

    def __init__(self, session: SqlSession) -> None:
        self._session = session

    def add(self, person: Person) -> bool:
        """Stores a new account; False when the name to sign in with is taken."""
        return insert_unless_there(self._session, PersonRow, fields_of(person))

    def get(self, person_id: str) -> Person | None:
        """The account with this id."""
        return self._one(_BY_ID, person_id)

    def by_sign_in_name(self, name: str) -> Person | None:
        """The account that signs in with this name."""
        return self._one(_BY_NAME, name)

    def by_email(self, email: str) -> Sequence[Person]:
        """Accounts to whose address a link may go."""
        query = select(*columns_of(PersonRow, Person)).where(PersonRow.email == email).order_by(PersonRow.id)
        return tuple(Person(**values_of(row, Person)) for row in self._session.execute(query))

    def signed_in(self, person_id: str, at: datetime, *, password_hash: str) -> Person | None:
        """Notes when the person signed in, and gives the account, which nobody else changes before the end.

        None, and nothing noted, where this is not the stored password.
        """
        return self._one(_SIGNS_IN, person_id, held=password_hash, at=at)

    def change(self, person_id: str, **values: str | bool | datetime | None) -> None:
        """Stores what is named of the account, and nothing else: others may change the rest at the same time."""
        self._session.execute(update(_PERSON).where(_PERSON.c.id == person_id).values(**values))

    def operators(self) -> Sequence[Person]:
        """Those who look after the whole site."""
        query = select(*columns_of(PersonRow, Person)).where(PersonRow.is_operator)
        rows = self._session.execute(query.order_by(PersonRow.created_at, PersonRow.id))
        return tuple(Person(**values_of(row, Person)) for row in rows)

    def move_practice(self, learner_id: str, to_learner_id: str) -> None:
        """Lets what was practised under one learner count for another; the first is gone then."""
        for table in (PageRow, AttemptRow, OutcomeRow):
            statement = update(table).where(table.learner_id == learner_id).values(learner_id=to_learner_id)
            self._session.execute(statement.execution_options(synchronize_session=False))
        self._session.execute(delete(LearnerRow).where(LearnerRow.id == learner_id))

    def _one(self, statement: Executable, whom: str, **values: Any) -> Person | None:
        row = self._session.execute(statement, {"whom": whom, **values}).first()
        return None if row is None else Person(**values_of(row, Person))


class SqlSessions:
    """Who is signed in where."""

    def __init__(self, session: SqlSession) -> None:
        self._session = session

    def add(self, session: Session) -> None:
        """Stores a new session."""
        self._session.execute(_BEGIN, fields_of(session))

    def of_person(self, person_id: str) -> Sequence[Session]:
        """All sessions of a person that were not revoked, newest first."""
        query = (
            select(SignedInRow)
            .where(SignedInRow.person_id == person_id, SignedInRow.revoked_at.is_(None))
            .order_by(SignedInRow.last_seen_at.desc(), SignedInRow.id)
        )
        return tuple(Session(**values_of(row, Session)) for row in self._session.scalars(query))

    def seen(self, session_id: str, at: datetime) -> None:
        """Notes that the session was used."""
        self._update(SignedInRow.id == session_id, last_seen_at=at)

    def rotate(self, session_id: str, token_hash: str, *, second_factor_at: datetime | None) -> None:
        """Gives the session another token."""
        self._update(SignedInRow.id == session_id, token_hash=token_hash, second_factor_at=second_factor_at)

    def work_in(self, session_id: str, member_id: str | None) -> None:
        """Chooses the organisation that the person works in."""
        self._update(SignedInRow.id == session_id, member_id=member_id)

    def revoke(self, person_id: str, session_id: str, at: datetime) -> bool:
        """Ends one session of this person; False where there is none."""
        mine = (SignedInRow.id == session_id) & (SignedInRow.person_id == person_id)
        return self._update(mine & SignedInRow.revoked_at.is_(None), revoked_at=at) > 0

    def revoke_all(self, person_id: str, at: datetime, *, but: str | None = None) -> int:
        """Ends all sessions of a person but one; gives their number."""
        theirs = (SignedInRow.person_id == person_id) & SignedInRow.revoked_at.is_(None)
        return self._update(theirs if but is None else theirs & (SignedInRow.id != but), revoked_at=at)

    def _update(self, condition: object, **values: object) -> int:
        statement = update(SignedInRow).where(condition).values(**values)  # type: ignore[arg-type]
        changed = self._session.execute(statement.returning(literal(1)))
        return len(changed.all())


_SIGNED_IN, _PERSON = table_of(SignedInRow), table_of(PersonRow)
# A class signs in at one moment: so are these.
_BY_NAME = select(*columns_of(PersonRow, Person)).where(_PERSON.c.sign_in_name == bindparam("whom"))
_BY_ID = select(*columns_of(PersonRow, Person)).where(_PERSON.c.id == bindparam("whom"))
_SIGNS_IN = (
    update(_PERSON)
    .where(_PERSON.c.id == bindparam("whom"), _PERSON.c.password_hash == bindparam("held"))
    .values(last_signed_in_at=bindparam("at"))
    .returning(*columns_of(PersonRow, Person))
)
_BEGIN = insert(_SIGNED_IN)


class SqlTokens:
    """Links that work once."""

    def __init__(self, session: SqlSession) -> None:
        self._session = session

    def add(self, token: Token) -> None:
        """Stores a new one; earlier unused ones for the same person or member and purpose end."""
        same = SingleUseTokenRow.purpose == token.purpose
        if token.member_id is not None:
            same &= SingleUseTokenRow.member_id == token.member_id
        else:
            same &= SingleUseTokenRow.person_id == token.person_id
        self._session.execute(delete(SingleUseTokenRow).where(same, SingleUseTokenRow.used_at.is_(None)))
        self._session.add(SingleUseTokenRow(**fields_of(token)))
        self._session.flush()

    def get(self, token_hash: str) -> Token | None:
        """The token with this hash."""
        row = self._session.get(SingleUseTokenRow, token_hash)
        return None if row is None else Token(**{**values_of(row, Token), "purpose": TokenPurpose(row.purpose)})

    def use(self, token_hash: str, at: datetime) -> bool:
        """Uses the token up; False when it was used, or is too old: of several at once one gets True."""
        unused = (
            (SingleUseTokenRow.token_hash == token_hash)
            & SingleUseTokenRow.used_at.is_(None)
            & (SingleUseTokenRow.expires_at > at)
        )
        statement = update(SingleUseTokenRow).where(unused).values(used_at=at).returning(literal(1))
        return self._session.execute(statement).first() is not None
