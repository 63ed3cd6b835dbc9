"""A crowd in an empty database."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from random import Random

from trainer.cli.inventing.crowd.colleges import Colleges
from trainer.cli.inventing.crowd.copier import Copier, new_ids, spread
from trainer.cli.inventing.crowd.firms import Firms
from trainer.cli.inventing.crowd.histories import histories_of, practise
from trainer.cli.inventing.crowd.layout import layout_of
from trainer.cli.inventing.crowd.pattern import Pattern, pattern_of
from trainer.cli.inventing.crowd.people import Crowd
from trainer.cli.inventing.crowd.practised import LENGTH
from trainer.cli.inventing.workshop import Form
from trainer.persistence.database import Database
from trainer.persistence.keeping.bulk import filling, refuse_rows

_MOST_OF_ONE = 100
"""Histories of the learner with a known name, who practised more than anybody."""
_SPREAD = 0.9

Tell = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made."""

    learners: int
    answers: int
    log_entries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How large the crowd is to be, from which seed, on which day; ``password_hash`` opens every account."""

    learners: int
    answers: int
    seed: int
    today: datetime
    password_hash: str


def fill_with_crowd(
    database: Database,
    wanted: Wanted,
    form: Form,
    pattern_told: Tell,
    copying_told: Tell,
    make_pattern: Callable[..., Pattern] = pattern_of,
) -> Made:
    """Fills a database whose tables are empty with a crowd: all of it or nothing.

    The same seed and day make the same rows, the hash of the password apart.

    Raises: NotEmptyError, CrowdError.
    """
    layout = layout_of(wanted.learners, wanted.answers)
    refuse_rows(database)
    draws = Random(wanted.seed)  # noqa: S311 - invented people, no secret
    pattern = make_pattern(layout.size, draws, form, new_ids(draws), wanted.today, pattern_told)
    with filling(database) as bulk:
        copier = Copier(bulk=bulk, draws=draws, tell=lambda _more: None)
        copier.tell = lambda _more: copying_told(copier.answers, wanted.answers)
        crowd = Crowd(copier=copier, password_hash=wanted.password_hash, today=wanted.today, seed=wanted.seed)
        bulk.put("task", pattern.rows["task"])
        colleges = Colleges(pattern=pattern, crowd=crowd, rounds=layout.rounds)
        for number, groups in enumerate(layout.groups):
            colleges.make(number, groups)
        firms = Firms(pattern=pattern, crowd=crowd)
        for number, squads in enumerate(layout.squads):
            firms.make(number, squads)
        for _ in range(layout.without_account):
            crowd.learner()
        shares = _shares(draws, len(crowd.learners), wanted.answers - copier.answers)
        histories = histories_of(pattern)
        for learner_id, number in zip(crowd.learners, shares, strict=True):
            practise(copier, histories, learner_id, number)
            bulk.settle()
        entries = copier.enter_log()
    return Made(learners=wanted.learners, answers=copier.answers, log_entries=entries)


def _shares(draws: Random, learners: int, answers: int) -> list[int]:
    """How many histories each learner has: few have many, and the first, whose account has a known name, has most."""
    number = max(0, -(-answers // LENGTH))
    most = min(_MOST_OF_ONE, number // 10)
    return [most, *spread(number - most, [draws.lognormvariate(0, _SPREAD) for _ in range(learners - 1)])]
