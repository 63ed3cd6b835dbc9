"""The audit chain by itself."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from trainer.services.operation.audit import (
    FIRST_HASH,
    Actor,
    AuditEntry,
    AuditEvent,
    AuditFactError,
    entry_after,
    verified,
)

EVENT = AuditEvent(
    at=datetime(2026, 11, 2, 12, 0, tzinfo=UTC),
    actor=Actor(kind="member", id="m"),
    action="group.made",
    subject_kind="group",
    subject_id="g",
    organisation_id="o",
    facts={"learners": 3},
)


def chain(length: int) -> list[AuditEntry]:
    entries: list[AuditEntry] = []
    for number in range(length):
        entries.append(entry_after(entries[-1] if entries else None, replace(EVENT, subject_id=f"g{number}")))
    return entries


def test_the_hash_is_the_sha_256_of_the_fields_and_the_hash_before() -> None:
    """Written out by hand from docs/accounts.md, hashed with the standard library (FIPS 180-4)."""
    text = (
        '[1,"2026-11-02T12:00:00.000000+00:00","o","member","m","group.made","group","g",'
        '"{\\"learners\\":3}","' + "0" * 64 + '"]'
    )
    assert entry_after(None, EVENT).entry_hash == hashlib.sha256(text.encode()).hexdigest()


def test_a_whole_chain_is_accepted_and_an_empty_one_too() -> None:
    entries = chain(5)
    assert (verified(entries).entries, verified(entries).last_hash) == (5, entries[-1].entry_hash)
    assert verified([]).last_hash == FIRST_HASH


@pytest.mark.parametrize("field", ["at", "organisation_id", "actor_id", "action", "subject_id", "details_json"])
def test_a_change_of_any_field_is_found(field: str) -> None:
    entries = chain(4)
    changed = datetime(2026, 11, 2, 12, 1, tzinfo=UTC) if field == "at" else "other"
    entries[1] = replace(entries[1], **{field: changed})
    assert verified(entries).broken_at == 2


def test_an_entry_taken_out_put_in_or_moved_is_found() -> None:
    entries = chain(4)
    assert verified(entries[:1] + entries[2:]).broken_at == 2
    assert verified([entries[0], entries[0], *entries[1:]]).broken_at == 2
    assert verified([entries[0], entries[2], entries[1], entries[3]]).broken_at == 2


def test_a_chain_cut_short_or_written_anew_is_found_by_a_hash_that_was_noted() -> None:
    entries = chain(4)
    noted = {4: entries[3].entry_hash}
    assert verified(entries, known=noted).problem == ""
    assert verified(entries[:3], known=noted).problem == "the chain is shorter than noted"
    anew = chain(3)
    anew.append(entry_after(anew[-1], replace(EVENT, subject_id="other")))
    assert verified(anew, known=noted).problem == "not the hash that was noted"


@pytest.mark.parametrize("name", ["answers_json", "password", "reset_token", "totp_secret", "email", "access_code"])
def test_secrets_answers_and_addresses_are_refused(name: str) -> None:
    with pytest.raises(AuditFactError):
        entry_after(None, replace(EVENT, facts={name: "x"}))


def test_a_long_text_is_refused() -> None:
    with pytest.raises(AuditFactError):
        entry_after(None, replace(EVENT, facts={"reason": "x" * 201}))
