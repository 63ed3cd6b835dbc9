"""The tables of each subject. Importing this package makes all of them known to ``Base.metadata``."""

from __future__ import annotations

from trainer.persistence.models import Base
from trainer.persistence.tables import (
    accounts,
    moderation,
    operation,
    organisations,
    papers,
    plan,
    programmes,
    sittings,
)

__all__ = [
    "Base",
    "accounts",
    "moderation",
    "operation",
    "organisations",
    "papers",
    "plan",
    "programmes",
    "sittings",
]
