"""Both databases, and the use cases over them."""

from __future__ import annotations

from itertools import count

import pytest

from tests.persistence.people.conftest import storage
from tests.web.conftest import NOON
from tests.web.people.conftest import Clock
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.privacy.copies import PersonalCopies
from trainer.services.privacy.retention import Retention

__all__ = ["storage"]


@pytest.fixture
def clock() -> Clock:
    return Clock(NOON)


@pytest.fixture
def retention(storage: SqlStorage, clock: Clock) -> Retention:
    numbers = count()
    scopes = storage.scopes(privacy_repositories)
    return Retention(storage=scopes, now=clock, new_id=lambda: f"random-{next(numbers)}")


@pytest.fixture
def copies(storage: SqlStorage, clock: Clock) -> PersonalCopies:
    return PersonalCopies(storage=storage.scopes(privacy_repositories), now=clock)
