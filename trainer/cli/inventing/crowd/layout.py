"""How a crowd is spread: one large college, one large firm, smaller ones, some learners without an account."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.cli.inventing.crowd.copier import spread
from trainer.cli.inventing.crowd.pattern import Size
from trainer.cli.inventing.crowd.sheaves import SQUAD
from trainer.domain.errors import Problem, TrainerError

PROGRAMMES = 3
"""Programmes of each firm."""
_OF_A_LEARNER_AND_ROUND = 21
"""Tasks of the finished papers of a pattern's group."""
_LARGE, _SMALL = Size(group=30, histories=40), Size(group=10, histories=8)
_SMALL_BELOW = 1000
_IN_FIRMS, _WITHOUT_ACCOUNT, _IN_PAPERS = 0.25, 0.05, 0.35
# The first has as much as all others together.
_SIZES = (4.0, 1.0, 1.0, 1.0, 1.0)
_FEWEST = _SMALL.group + SQUAD


class CrowdError(TrainerError):
    """A crowd that cannot be made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Groups of each college, squads of each firm, learners without an account, rounds of papers."""

    size: Size
    groups: tuple[int, ...]
    squads: tuple[int, ...]
    without_account: int
    rounds: int


def layout_of(learners: int, answers: int) -> Layout:
    """The layout for that many learners and answers. *Raises* CrowdError."""
    if learners < _FEWEST:
        raise CrowdError(Problem(path="--learners", value=learners, problem=f"must be {_FEWEST} or more"))
    size = _SMALL if learners < _SMALL_BELOW else _LARGE
    squads = max(1, round(learners * _IN_FIRMS / SQUAD))
    groups = max(1, round(learners * (1 - _IN_FIRMS - _WITHOUT_ACCOUNT) / size.group))
    rest = learners - squads * SQUAD - groups * size.group
    while rest < 0:
        groups, rest = groups - 1, rest + size.group
    least = groups * size.group * _OF_A_LEARNER_AND_ROUND
    if groups < 1 or answers < least:
        problem = f"must be {least} or more for {learners} learners: as many are given in one round of papers"
        raise CrowdError(Problem(path="--answers", value=answers, problem=problem))
    return Layout(
        size=size,
        groups=_several(groups),
        squads=_several(squads),
        without_account=rest,
        rounds=max(1, round(answers * _IN_PAPERS / least)),
    )


def _several(number: int) -> tuple[int, ...]:
    sizes = _SIZES[: max(1, min(len(_SIZES), number // 2))]
    return tuple(each for each in spread(number, sizes) if each)
