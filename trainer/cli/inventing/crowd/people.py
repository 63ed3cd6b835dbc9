"""Invented people in a crowd: names, accounts, sessions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from faker import Faker

from trainer.cli.inventing.crowd.copier import Changes, Copier
from trainer.persistence.people.rows import sorted_as

_SESSIONS = 3
_LASTS = timedelta(days=14)
# Before the first attempt of anybody; practice may be older than the account that took it over.
_SINCE = timedelta(days=1500)


@dataclass(kw_only=True)
class Crowd:
    """Names and accounts as they are given out. ``password_hash`` opens every account."""

    copier: Copier
    password_hash: str
    today: datetime
    seed: int
    # Those under whom practice is recorded.
    learners: list[str] = field(default_factory=list)
    _names: dict[str, str] = field(default_factory=dict)
    _people: int = 0
    _members: int = 0

    def __post_init__(self) -> None:
        """Names from the seed; nothing rests on them."""
        self._faker = Faker("en_GB")
        self._faker.seed_instance(self.seed)

    def changes(self, *, signs_in_as: str | None = None, practises: bool = True) -> Changes:
        """Other names and accounts for the people of a sheaf; the first signs in under a name of its own."""
        wanted = [signs_in_as] if signs_in_as else []

        def person(place: Mapping[str, int], row: list[Any]) -> None:
            self._people += 1
            name = self._faker.name()
            self._names[row[place["id"]]] = name
            row[place["display_name"]] = name
            row[place["sign_in_name"]] = wanted.pop() if wanted else f"invented-{self._people}"
            row[place["password_hash"]] = self.password_hash
            row[place["learner_id"]] = self.learner() if practises else None

        def member(place: Mapping[str, int], row: list[Any]) -> None:
            name = self._names[row[place["person_id"]]]
            self._names[row[place["id"]]] = name
            row[place["display_name"]], row[place["sort_name"]] = name, sorted_as(name)
            self._members += 1
            row[place["reference"]] = f"{self._members:06}"
            self._sessions(row[place["person_id"]], row[place["id"]])

        return {"person": person, "member": member, "training_record": self._record}

    def learner(self) -> str:
        """A learner under whom practice is recorded."""
        learner_id = self.copier.new_id()
        seen = self.today - timedelta(days=self.copier.draws.uniform(0, 60))
        self.copier.add("learner", id=learner_id, created_at=self.today - _SINCE, last_seen_at=seen)
        self.learners.append(learner_id)
        return learner_id

    def _record(self, place: Mapping[str, int], row: list[Any]) -> None:
        row[place["holder_name"]] = self._names[row[place["member_id"]]]
        # The same alphabet as real codes; unique because drawn from 130 bits.
        letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
        row[place["code"]] = "".join(self.copier.draws.choices(letters, k=26))

    @property
    def record_changes(self) -> Changes:
        """Other codes and holders for training records."""
        return {"training_record": self._record}

    def _sessions(self, person_id: str, member_id: str) -> None:
        draws = self.copier.draws
        for _ in range(_SESSIONS):
            at = self.today - timedelta(days=draws.uniform(0, 60))
            self.copier.add(
                "signed_in",
                id=self.copier.new_id(),
                token_hash=draws.randbytes(32).hex(),
                person_id=person_id,
                member_id=member_id,
                device="Invented browser",
                created_at=at,
                last_seen_at=at + timedelta(minutes=20),
                expires_at=at + _LASTS,
            )
