"""Codes by time and recovery codes, in the database."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import delete, func, literal, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.tables.accounts import RecoveryCodeRow, SecondFactorRow
from trainer.services.people.records import SecondFactor


class SqlSecondFactors:
    """Codes by time and recovery codes."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, person_id: str) -> SecondFactor | None:
        """The second factor of a person."""
        row = self._session.get(SecondFactorRow, person_id, populate_existing=True)
        return None if row is None else SecondFactor(**values_of(row, SecondFactor))

    def put(self, factor: SecondFactor) -> None:
        """Stores it in place of an earlier one."""
        self.remove(factor.person_id)
        self._session.add(SecondFactorRow(**fields_of(factor)))
        self._session.flush()

    def confirm(self, person_id: str, at: datetime) -> None:
        """Counts from now on."""
        theirs = SecondFactorRow.person_id == person_id
        self._session.execute(update(SecondFactorRow).where(theirs).values(confirmed_at=at))

    def use_step(self, person_id: str, step: int) -> bool:
        """True when no code of this step or a later one was used before: of several at once one gets True."""
        unused = (SecondFactorRow.person_id == person_id) & (SecondFactorRow.last_step < step)
        statement = update(SecondFactorRow).where(unused).values(last_step=step).returning(literal(1))
        return self._session.execute(statement).first() is not None

    def remove(self, person_id: str) -> None:
        """Takes it away together with the recovery codes."""
        self._session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.person_id == person_id))
        self._session.execute(delete(SecondFactorRow).where(SecondFactorRow.person_id == person_id))

    def set_recovery_codes(self, person_id: str, hashes: Collection[str]) -> None:
        """Stores recovery codes in place of earlier ones."""
        self._session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.person_id == person_id))
        self._session.add_all([RecoveryCodeRow(person_id=person_id, code_hash=each) for each in hashes])
        self._session.flush()

    def use_recovery_code(self, person_id: str, code_hash: str, at: datetime) -> bool:
        """Uses a recovery code up; False when there is none such."""
        unused = (
            (RecoveryCodeRow.person_id == person_id)
            & (RecoveryCodeRow.code_hash == code_hash)
            & RecoveryCodeRow.used_at.is_(None)
        )
        statement = update(RecoveryCodeRow).where(unused).values(used_at=at).returning(literal(1))
        return self._session.execute(statement).first() is not None

    def recovery_codes_left(self, person_id: str) -> int:
        """How many are unused."""
        unused = (RecoveryCodeRow.person_id == person_id) & RecoveryCodeRow.used_at.is_(None)
        return self._session.execute(select(func.count()).where(unused)).scalar_one()
