"""The examples of a note, computed from seeds: two that are worked, one that the learner finishes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.domain.asks.forms import Ask, AskKey
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.questions.citing import regulations
from trainer.domain.questions.making import make_question
from trainer.domain.questions.registry import Family, families_for_objective
from trainer.domain.questions.words import COMMON
from trainer.domain.tasks import Task
from trainer.services.notes.gaps import HalfWorked, half_worked
from trainer.services.scenarios import scenarios

SEED_END = 1_000_000
_TRIES = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A question with its answer; ``why`` is the reason and ``where`` the regulations behind it."""

    task: Task
    ask: Ask
    key: AskKey
    why: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Examples:
    """All examples of a note from one seed."""

    worked: tuple[Worked, ...]
    half: HalfWorked
    half_from: Worked


def families_of(objective_id: str) -> tuple[Family, ...]:
    """The families that exercise an objective, those that are about it first, then the easier."""
    found = families_for_objective(objective_id)
    return tuple(sorted(found, key=lambda each: (each.objectives[0] != objective_id, each.level)))


def examples(objective_id: str, seed: int = 1) -> Examples:
    """Two worked questions and one to finish, no two of them alike. *Raises* OutOfRangeError."""
    if not 0 < seed < SEED_END:
        problem = f"must be from 1 to {SEED_END - 1}"
        raise OutOfRangeError(Problem(path="seed", value=str(seed), problem=problem))
    families = families_of(objective_id)
    drawn = _unlike(families, seed)
    first, second, third = next(drawn), next(drawn), next(drawn)
    return Examples(
        worked=(first, second), half=half_worked(third.task, third.ask, third.key, third.why), half_from=third
    )


def _unlike(families: tuple[Family, ...], seed: int) -> Iterator[Worked]:
    """Questions of the first family, of the second, and of the first again, as long as they are new."""
    seen: set[tuple[str, str]] = set()
    order = (families[0], families[min(1, len(families) - 1)], families[0])
    for place, family in enumerate(order):
        found = worked(family.id, seed * 100 + place)
        for further in range(1, _TRIES):
            if _fingerprint(found) not in seen:
                break
            found = worked(family.id, seed * 100 + place + 3 * further)
        seen.add(_fingerprint(found))
        yield found


def _fingerprint(found: Worked) -> tuple[str, str]:
    sheets = "".join(row.value for sheet in found.task.pack for row in sheet.rows)
    return found.ask.question, found.why + sheets + "".join(each.label for each in found.ask.choices)


def worked(family: str, seed: int) -> Worked:
    """The question of a family and seed with its key."""
    task = make_question(seed, scenarios(), family=family)
    ask = task.asks[0]
    key = task.key.asks[ask.id]
    why, where = _parted(task, key)
    return Worked(task=task, ask=ask, key=key, why=why, where=where)


def _parted(task: Task, key: AskKey) -> tuple[str, str]:
    """The reason of a key, and the sentences on where it stands."""
    cited = regulations(key.rules[:1], (), task.edition, scenarios().questions[COMMON])
    reason, found, rest = key.why.partition(cited)
    return reason.strip(), f"{found}{rest}".strip()
