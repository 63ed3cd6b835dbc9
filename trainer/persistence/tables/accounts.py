"""People with an account, how they sign in, and where they are signed in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import EMAIL, HASH, RANDOM_ID, TITLE, WORD, one_of
from trainer.persistence.types import UtcDateTime
from trainer.services.people.words import TokenPurpose

# PHC string format of an Argon2id hash: about 100 characters at our parameters.
_PASSWORD_HASH = String(200)


class PersonRow(Base):
    """An account. What an organisation calls the person stands in ``member``."""

    __tablename__ = "person"

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    # What the person signs in with: a mail address, or a name where there is none; case folded.
    sign_in_name: Mapped[str] = mapped_column(EMAIL, unique=True)
    # Where links go, or None for somebody without an address.
    email: Mapped[str | None] = mapped_column(EMAIL)
    display_name: Mapped[str] = mapped_column(TITLE)
    password_hash: Mapped[str | None] = mapped_column(_PASSWORD_HASH)
    password_changed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # Looks after the whole site.
    is_operator: Mapped[bool]
    # Under which practice is recorded; a learner without an account has none of these rows.
    learner_id: Mapped[str | None] = mapped_column(ForeignKey("learner.id"), unique=True)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_signed_in_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class SignedInRow(Base):
    """A session: somebody signed in on one device. The cookie holds a token, this its hash."""

    __tablename__ = "signed_in"

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    token_hash: Mapped[str] = mapped_column(HASH, unique=True)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    # The organisation that the person is working in now.
    member_id: Mapped[str | None] = mapped_column(ForeignKey("member.id", ondelete="SET NULL"))
    device: Mapped[str] = mapped_column(TITLE)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_seen_at: Mapped[datetime] = mapped_column(UtcDateTime)
    # The end however busy; idle sessions end earlier by last_seen_at.
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
    second_factor_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class SingleUseTokenRow(Base):
    """A link that works once: its hash, what it is good for, until when."""

    __tablename__ = "single_use_token"
    __table_args__ = (one_of("purpose", TokenPurpose),)

    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    purpose: Mapped[str] = mapped_column(WORD)
    person_id: Mapped[str | None] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[str | None] = mapped_column(ForeignKey("member.id", ondelete="CASCADE"), index=True)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
    used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class SecondFactorRow(Base):
    """Codes by time (RFC 6238). The secret is computed from the site's secret and this salt, never stored."""

    __tablename__ = "second_factor"

    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), primary_key=True)
    salt: Mapped[str] = mapped_column(RANDOM_ID)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    # None until the first code was right.
    confirmed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # The time step of the last code: no code is good twice.
    last_step: Mapped[int] = mapped_column(BigInteger)


class RecoveryCodeRow(Base):
    """A code for somebody who lost the device; good once."""

    __tablename__ = "recovery_code"

    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), primary_key=True)
    code_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
