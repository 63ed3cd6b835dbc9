"""Which variant a person gets, and under which number the person is marked: by keyed hashes, never by chance."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from trainer.services.papers.variants import variant_seed

_CANDIDATES = 90_000
_FIRST_CANDIDATE = 10_000


def variant_for(used: Mapping[int, int], variant_key: str, member_id: str, attempt: int) -> int:
    """The variant of a person: of those that fewest have, the first in an order keyed for the person.

    With as many variants as people everybody has an own one. *Raises* ValueError when none is made.
    """
    if not used:
        raise ValueError("no variant is made")
    return min(used, key=lambda number: (used[number], _keyed(variant_key, "variant", member_id, attempt, number)))


def candidate_number(variant_key: str, member_id: str, attempt: int, tries: int) -> str:
    """Five digits that tell nothing of the person; ``tries`` counts up where another has the number."""
    return str(_FIRST_CANDIDATE + _keyed(variant_key, "candidate", member_id, attempt, tries) % _CANDIDATES)


def seed_of(variant_key: str, variant: int) -> int:
    """The keyed seed of a variant."""
    return variant_seed(variant_key, variant, 0)


def _keyed(key: str, what: str, *parts: object) -> int:
    text = ":".join(map(str, (what, *parts))).encode()
    return int.from_bytes(hashlib.blake2b(text, key=key.encode()[:64], digest_size=8).digest(), "big")
