"""A paper that four have sat, and what the tests of its marks ask of it."""

from __future__ import annotations

from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage

# Worked out by hand: which of the tasks, worth 10, 2 and 2 marks, each learner has right.
RIGHT = {
    "learner-1": ({1: True, 2: True, 3: True}, 14),
    "learner-2": ({1: True, 2: False, 3: True}, 12),
    "learner-3": ({1: False, 2: True, 3: False}, 2),
    "learner-4": ({1: False, 2: False, 3: False}, 0),
}


def id_of(address: str) -> str:
    return address.rpartition("/")[2]


def lines(storage: SqlStorage, address: str):
    with storage.scopes(paper_repositories).reading() as stored:
        return {each.member_id: each for each in stored.sittings.lines("college", id_of(address))}
