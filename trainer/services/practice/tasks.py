"""Practice: a task is made and shown, an answer is marked and kept, progress is told."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from trainer.domain.answers.decisions import checked_proposal
from trainer.domain.answers.marking import Grade
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.asks.marking import checked_answers
from trainer.domain.findings import Verdict
from trainer.domain.generator.reading import LEVELS
from trainer.domain.generator.request import TaskRequest
from trainer.domain.generator.trial import Trial
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Task, TaskKind
from trainer.services.answering import Solutions, grade_answer, weights_of
from trainer.services.latest import Latest
from trainer.services.plan.hints import cost, earned
from trainer.services.storage import (
    AttemptRecord,
    MisconceptionTally,
    ObjectiveOutcome,
    ObjectiveTally,
    PageRecord,
    Storage,
    StoredTask,
)

_TASKS_KEPT = 64
_TRIES_THAT_DECIDE = 2
_TRIES_LOOKED_AT = 12
_GOOD_SHARE = 0.8
_POOR_SHARE = 0.4

TaskMaker = Callable[[TaskRequest], tuple[Task, Trial | None]]
"""Makes the task that is asked for; where it has decisions also with its house as the rules judged it."""


class TaskForm(Protocol):
    """How tasks and grades are written for storage, and tasks read again."""

    def write_task(self, task: Task, weights: Sequence[int]) -> tuple[str, bytes]:
        """The content id and the bytes of a task with its key."""

    def read_task(self, content: bytes) -> Task:
        """The task that was written."""

    def write_grade(self, task: Task, task_id: str, grade: Grade) -> bytes:
        """A grade with its explanations."""


class PracticeForm(TaskForm, Protocol):
    """The same, for tasks that were judged while they were made."""

    def write_task(
        self, task: Task, weights: Sequence[int], said: Iterable[tuple[Rule, Verdict]] | None = None
    ) -> tuple[str, bytes]:
        """The content id and the bytes of a task; ``said`` of its intended proposal, where that is known."""

    def read_weighted(self, content: bytes) -> WeightedTask:
        """The task that was written, with its marks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightedTask:
    """A task, and the marks of its decisions or asks in order as they were when it was made."""

    task: Task
    weights: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTask:
    """A task on its page, with the marks of its decisions and how often it was answered."""

    page: PageRecord
    task: Task
    task_id: str
    weights: tuple[int, ...]
    attempts: tuple[AttemptRecord, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What a learner has earned towards each objective, what was misunderstood, the latest attempts."""

    objectives: tuple[ObjectiveTally, ...]
    misconceptions: tuple[MisconceptionTally, ...]
    latest: tuple[AttemptRecord, ...]

    @property
    def weakest(self) -> ObjectiveTally | None:
        """The objective with the smallest share of its marks, the one longest ago among equals."""
        missed = [each for each in self.objectives if each.marks < each.marks_available]
        return min(missed, key=lambda each: (each.marks / each.marks_available, each.last_practised_at), default=None)


@dataclass(frozen=True, kw_only=True)
class Practice:
    """The use cases of practice; all that changes from outside is handed in."""

    storage: Storage
    make: TaskMaker
    form: PracticeForm
    catalogue: Sequence[Misconception]
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    new_seed: Callable[[], int]
    solutions: Solutions = field(default_factory=Solutions)
    # A task never changes under the hash of its content, and is some hundred kB as objects.
    tasks: Latest[WeightedTask] = field(default_factory=lambda: Latest(_TASKS_KEPT))

    def begin(self, level: int, learner_id: str | None, **wanted: Any) -> str:
        """Make and store a task; gives the random id of its page. *Raises* UnknownNameError.

        ``wanted`` narrows the request: ``archetype``, ``kind``, ``family`` and so on.
        """
        task, trial = self.make(TaskRequest(seed=self.new_seed(), level=level, **wanted))
        return self.show(task, learner_id, trial)

    def show(self, task: Task, learner_id: str | None, trial: Trial | None = None) -> str:
        """Store a task and a page for it; gives the random id of the page."""
        solution = None if task.asks else self.solutions.of(task, _fingerprint(task), trial)
        weights = weights_of(task, solution)
        task_id, content = self.form.write_task(task, weights, None if trial is None else trial.said())
        # Its page, which comes next, knows both by its content; what would be read is the same as what was written.
        self.tasks.keep(task_id, WeightedTask(task=task, weights=weights))
        if solution is not None:
            self.solutions.keep(task_id, solution)
        now = self.now()
        stored = StoredTask.of(task, task_id, content, now)
        page = PageRecord(id=self.new_id(), content_hash=task_id, learner_id=learner_id, created_at=now)
        with self.storage.writing() as repositories:
            repositories.tasks.keep(stored)
            repositories.pages.add(page)
        return page.id

    def open(self, page_id: str) -> OpenTask | None:
        """The task of a page as it was delivered, or None where there is no such page."""
        found = self.storage.looks.page(page_id)
        if found is None:
            return None
        page, has_attempts = found
        attempts = self._attempts(page_id) if has_attempts else ()
        known = self.tasks.of(page.content_hash, lambda: self._read(page.content_hash))
        weights = self._weights(known, page.content_hash)
        return OpenTask(page=page, task=known.task, task_id=page.content_hash, weights=weights, attempts=attempts)

    def _attempts(self, page_id: str) -> tuple[AttemptRecord, ...]:
        with self.storage.reading() as repositories:
            return tuple(repositories.attempts.at_page(page_id))

    def _read(self, content_hash: str) -> WeightedTask:
        with self.storage.reading() as repositories:
            stored = repositories.tasks.get(content_hash)
        if stored is None:
            raise LookupError(f"a page refers to the task {content_hash}, which is not there")
        return self.form.read_weighted(stored.content)

    def _weights(self, known: WeightedTask, name: str) -> tuple[int, ...]:
        """The marks that an answer will get: by the rules of this program, also where an older one made the task."""
        if known.task.asks or known.task.rule_set_version == rule_set_version():
            return known.weights
        return weights_of(known.task, self.solutions.of(known.task, name))

    def hand_in(
        self,
        opened: OpenTask,
        number: int,
        answers: Mapping[str, str],
        certainty: Mapping[str, object],
        learner_id: str | None,
        hinted: Collection[str] = (),
        *,
        is_new: bool = False,
    ) -> AttemptRecord:
        """Mark an answer and keep it; the same number twice keeps the first. *Raises* ProposalError.

        ``hinted`` are the decisions whose hints were taken: the grade says what the rules gave, the
        attempt what is left of it. ``is_new`` says that the learner was not known before: sent twice
        it came from two, and what tells is the answer.
        """
        task = opened.task
        checked = checked_answers(task.asks, answers) if task.asks else checked_proposal(task.decisions, answers)
        answers_json = json.dumps(checked, sort_keys=True)
        if kept := _sent_before(opened.attempts, number, answers_json, learner_id, is_new=is_new):
            return kept
        grade = grade_answer(
            task,
            checked,
            certainty=certainty,
            catalogue=self.catalogue,
            solution=None if task.asks else self.solutions.of(task, opened.task_id),
        )
        attempt = AttemptRecord(
            id=self.new_id(),
            page_id=opened.page.id,
            number=len(opened.attempts) + 1,
            learner_id=learner_id,
            answers_json=answers_json,
            certainty_json=json.dumps(dict(certainty), sort_keys=True),
            grade_json=self.form.write_grade(task, opened.task_id, grade),
            marks=grade.marks - cost(grade.decisions, hinted),
            marks_available=grade.marks_available,
            safe_to_energise=grade.safe_to_energise,
            # The rules that judge are this program's, also where an older one made the task.
            rule_set_version=rule_set_version(),
            edition=task.edition.value,
            started_at=opened.page.created_at,
            submitted_at=self.now(),
            # Whoever tries again has read the answer: that shows nothing about an objective.
            outcomes=() if opened.attempts else tuple(_outcomes(task, grade, hinted)),
        )
        with self.storage.writing() as repositories:
            return repositories.attempts.record(attempt)

    def offered_level(self, learner_id: str | None) -> int:
        """The level to take next: one up after two good first tries, one down after two poor ones.

        Without a record the lowest. The newest attempts at the level of the newest one decide.
        """
        tries = self._latest_first_tries(learner_id) if learner_id else []
        if not tries:
            return LEVELS[0]
        level = tries[0][0]
        recent = [attempt for at, attempt in tries if at == level][:_TRIES_THAT_DECIDE]
        if len(recent) == _TRIES_THAT_DECIDE and all(map(_is_good, recent)):
            level += 1
        elif len(recent) == _TRIES_THAT_DECIDE and all(map(_is_poor, recent)):
            level -= 1
        return min(max(level, LEVELS[0]), LEVELS[-1])

    def _latest_first_tries(self, learner_id: str) -> list[tuple[int, AttemptRecord]]:
        """The newest first attempts of a learner at whole houses with the level of each, newest first."""
        with self.storage.reading() as repositories:
            latest = repositories.attempts.latest_of(learner_id, limit=_TRIES_LOOKED_AT)
            levels = repositories.attempts.levels_at([each.page_id for each in latest], TaskKind.CHOOSE)
        first = (each for each in latest if each.number == 1)
        return [(levels[each.page_id], each) for each in first if each.page_id in levels]

    def attempt(self, page_id: str, attempt_id: str) -> AttemptRecord | None:
        """An attempt at a page, or None."""
        with self.storage.reading() as repositories:
            found = repositories.attempts.get(attempt_id)
        return found if found is not None and found.page_id == page_id else None

    def progress(self, learner_id: str, latest: int = 10) -> Progress:
        """All that is known of a learner's practice."""
        with self.storage.reading() as repositories:
            return Progress(
                objectives=tuple(repositories.attempts.objective_tallies(learner_id)),
                misconceptions=tuple(repositories.attempts.misconception_tallies(learner_id)),
                latest=tuple(repositories.attempts.latest_of(learner_id, limit=latest)),
            )


def _is_good(attempt: AttemptRecord) -> bool:
    return attempt.safe_to_energise and attempt.marks >= _GOOD_SHARE * attempt.marks_available


def _is_poor(attempt: AttemptRecord) -> bool:
    return attempt.marks < _POOR_SHARE * attempt.marks_available


def _fingerprint(task: Task) -> str:
    """What names a task before it is written: the same seed makes the same task."""
    return f"{task.generator_version} {task.seed} {task.level} {task.archetype} {task.kind}"


def _sent_before(
    attempts: Iterable[AttemptRecord], number: int, answers_json: str, learner_id: str | None, *, is_new: bool
) -> AttemptRecord | None:
    """The attempt that the same form gave when it was sent first, or None."""
    for each in attempts:
        is_same_answer, is_theirs = each.answers_json == answers_json, each.learner_id == learner_id
        # Where others have the page open too, it may have come to stand under a later number.
        is_later = each.number > number and is_theirs and is_same_answer
        if is_later or (each.number == number and (is_same_answer if is_new else is_theirs)):
            return each
    return None


def _outcomes(task: Task, grade: Grade, hinted: Collection[str]) -> list[ObjectiveOutcome]:
    """One outcome for each objective of each decision, or of each ask."""
    counted = [each.objectives for each in task.asks] or [each.objectives for each in task.decisions]
    return [
        ObjectiveOutcome(
            objective_id=objective,
            misconception_id=each.misconception,
            marks=earned(each, hinted),
            marks_available=each.marks_available,
        )
        for objectives, each in zip(counted, grade.decisions, strict=True)
        for objective in objectives
    ]
