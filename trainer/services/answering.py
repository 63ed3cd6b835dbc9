"""Use cases on answers: all acceptable ones, and the grade of one."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from threading import Lock

from trainer.domain.answers.decisions import Proposal
from trainer.domain.answers.marking import Grade, grade
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.answers.solver import Solution, solve
from trainer.domain.asks.marking import grade_asks, marks_of
from trainer.domain.generator.trial import Trial
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task

_KEPT = 256


class Solutions:
    """Solves a task once and keeps the latest solutions, by the task's content id.

    Losing what is kept costs time, never correctness; so several processes may each keep theirs.
    """

    def __init__(self, kept: int = _KEPT) -> None:
        self._kept = kept
        self._known: OrderedDict[str, Solution] = OrderedDict()
        self._lock = Lock()

    def of(self, task: Task, task_id: str, trial: Trial | None = None) -> Solution:
        """The acceptable proposals of a task; ``trial`` is its house as it was judged while it was made."""
        with self._lock:
            known = self._known.get(task_id)
            if known is not None:
                self._known.move_to_end(task_id)
                return known
        turning = None if trial is None else trial.turning(task.decisions)
        solution = solve(task.house, task.decisions, ALL_RULES, task.edition, turning)
        self.keep(task_id, solution)
        return solution

    def keep(self, task_id: str, solution: Solution) -> None:
        """Keeps a solution that was found under another name of its task."""
        with self._lock:
            self._known[task_id] = solution
            while len(self._known) > self._kept:
                self._known.popitem(last=False)


def solution_of(task: Task) -> Solution:
    """All acceptable proposals of a task under its own edition."""
    return solve(task.house, task.decisions, ALL_RULES, task.edition)


def weights_of(task: Task, solution: Solution | None = None) -> tuple[int, ...]:
    """The marks of each decision, or of each ask, in order."""
    if task.asks:
        return tuple(marks_of(task.key.asks[each.id]) for each in task.asks)
    return (solution or solution_of(task)).weights


def grade_answer(
    task: Task,
    proposal: Proposal,
    *,
    certainty: Mapping[str, object] | None = None,
    catalogue: Sequence[Misconception] = (),
    solution: Solution | None = None,
) -> Grade:
    """Mark an answer: a proposal by the whole book, what was asked by its key. *Raises* TrainerError."""
    if task.asks:
        return grade_asks(task, proposal, certainty=certainty)
    return grade(
        task,
        proposal,
        ALL_RULES,
        solution=solution,
        certainty=certainty,
        catalogue=catalogue,
    )
