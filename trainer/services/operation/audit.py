"""The audit chain: who did what to papers, marks, people and records.

Each entry's hash covers the entry and the hash before it, so that nothing can be changed, put in
or taken out unseen. No names, answers, passwords or tokens stand in it: ids, and short facts.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Protocol

# The hash before the first entry.
FIRST_HASH = "0" * 64

_LONGEST_FACT = 200
# What must never be kept for good, by the names it would come under.
_NEVER = re.compile(r"answer|password|token|secret|cookie|email|display_name|certainty|recovery|access_code")

Fact = str | int | bool | None


class AuditFactError(ValueError):
    """A fact that has no place in the audit chain: a mistake of the program."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Actor:
    """Who did it: ``member``, ``person``, ``command``, ``job`` or ``visitor``, with the id where there is one."""

    kind: str
    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditEvent:
    """What happened: an action such as ``paper.opened``, to what, with facts that are no secrets."""

    at: datetime
    actor: Actor
    action: str
    subject_kind: str
    subject_id: str
    organisation_id: str | None = None
    facts: Mapping[str, Fact] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditEntry:
    """An event in the chain."""

    number: int
    at: datetime
    organisation_id: str | None
    actor_kind: str
    actor_id: str | None
    action: str
    subject_kind: str
    subject_id: str
    details_json: str
    previous_hash: str
    entry_hash: str


class AuditLog(Protocol):
    """The chain, seen through one transaction."""

    def hold(self) -> None:
        """Lets writers take turns from here to the end of the transaction: what is read now stays as it is.

        Only among those who hold or append; it is what SQLite does anyway.
        """

    def append(self, event: AuditEvent) -> AuditEntry:
        """Puts the event at the end of the chain. *Raises* AuditFactError."""

    def all(self) -> Iterable[AuditEntry]:
        """Every entry, first to last, as a stream."""

    def latest(self, organisation_id: str | None, *, before: int | None, limit: int) -> tuple[AuditEntry, ...]:
        """The newest entries of an organisation, newest first; None is the whole site."""


def details_of(event: AuditEvent) -> str:
    """The facts of an event as they are kept.

    *Raises* AuditFactError for a fact that is too long or whose name tells of a secret.
    """
    for name, value in event.facts.items():
        if _NEVER.search(name) or (isinstance(value, str) and len(value) > _LONGEST_FACT):
            raise AuditFactError(f"{name} has no place in the audit chain")
    return json.dumps(dict(event.facts), sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def entry_after(previous: AuditEntry | None, event: AuditEvent) -> AuditEntry:
    """The entry that an event makes at the end of the chain."""
    bare = AuditEntry(
        number=previous.number + 1 if previous else 1,
        at=event.at,
        organisation_id=event.organisation_id,
        actor_kind=event.actor.kind,
        actor_id=event.actor.id,
        action=event.action,
        subject_kind=event.subject_kind,
        subject_id=event.subject_id,
        details_json=details_of(event),
        previous_hash=previous.entry_hash if previous else FIRST_HASH,
        entry_hash="",
    )
    return _with_hash(bare)


def hash_of(entry: AuditEntry) -> str:
    """SHA-256 of the entry's fields in their order, as JSON, the previous hash among them."""
    # The time is cut to what every database keeps.
    at = entry.at.astimezone(UTC).isoformat(timespec="microseconds")
    fields = [
        entry.number,
        at,
        entry.organisation_id,
        entry.actor_kind,
        entry.actor_id,
        entry.action,
        entry.subject_kind,
        entry.subject_id,
        entry.details_json,
        entry.previous_hash,
    ]
    text = json.dumps(fields, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _with_hash(entry: AuditEntry) -> AuditEntry:
    values = {name: getattr(entry, name) for name in AuditEntry.__slots__}
    return AuditEntry(**{**values, "entry_hash": hash_of(entry)})


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainReport:
    """What a verification found: how many entries, the last hash, and the first place that does not fit."""

    entries: int
    last_hash: str
    broken_at: int | None = None
    problem: str = ""


def verified(entries: Iterable[AuditEntry], *, known: Mapping[int, str] | None = None) -> ChainReport:
    """Goes through the chain; ``known`` are hashes by number that were noted elsewhere before."""
    number, last = 0, FIRST_HASH
    seen: dict[int, str] = {}
    for entry in entries:
        problem = _fault(entry, number + 1, last)
        if problem:
            return ChainReport(entries=number, last_hash=last, broken_at=number + 1, problem=problem)
        number, last = entry.number, entry.entry_hash
        if known and number in known:
            seen[number] = last
    for at, noted in sorted((known or {}).items()):
        if at != 0 and seen.get(at) != noted:
            problem = "the chain is shorter than noted" if at not in seen else "not the hash that was noted"
            return ChainReport(entries=number, last_hash=last, broken_at=at, problem=problem)
    return ChainReport(entries=number, last_hash=last)


def _fault(entry: AuditEntry, number: int, previous_hash: str) -> str:
    if entry.number != number:
        return f"entry {number} is missing; {entry.number} follows"
    if entry.previous_hash != previous_hash:
        return "does not follow on the entry before it"
    if entry.entry_hash != hash_of(entry):
        return "was changed after it was written"
    return ""
