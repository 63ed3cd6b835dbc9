"""Stored attempts judged again by the rule set of this program: whom it would change, and why.

A rule that was corrected does not reach back by itself. Judging again is a deliberate act: first
seen, then kept with a reason, beside what was given first.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Protocol

from trainer.domain.answers.marking import Grade, grade
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task, TaskKind
from trainer.services.regrading.differences import Differences, SaidGrade, differences
from trainer.services.storage import AttemptPlace, AttemptRecord, RegradingRecord, Repositories, Storage

_AT_A_TIME = 200
_REASON_CHARACTERS = 500


class ReasonError(TrainerError):
    """A reason for judging again that says nothing, or too much."""


class UnjudgeableError(TrainerError):
    """An attempt that cannot be judged again."""


class RegradingForm(Protocol):
    """How tasks and grades are read from storage, and grades written."""

    def read_task(self, content: bytes) -> Task:
        """The task that was written. *Raises* TrainerError."""

    def read_grade(self, content: bytes) -> SaidGrade:
        """The grade that was written. *Raises* TrainerError."""

    def said(self, task: Task, task_id: str, grade: Grade) -> SaidGrade:
        """A grade as it would be read after it was written."""

    def write_grade(self, task: Task, task_id: str, grade: Grade) -> bytes:
        """A grade with its explanations."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Untouched:
    """An attempt that this rule set has judged already, when it was handed in or since."""

    place: AttemptPlace
    at_first: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJudged:
    """An attempt that could not be judged again, and why."""

    place: AttemptPlace
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ByKey:
    """An attempt at questions: marked by the key that was delivered with them, which no rule set changes."""

    place: AttemptPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class Rejudged:
    """An attempt with what counted so far, what this rule set says, and what differs."""

    attempt: AttemptRecord
    task: Task
    under: str
    before: SaidGrade
    after: SaidGrade
    differences: Differences
    kept: RegradingRecord | None = None


Outcome = Untouched | ByKey | NotJudged | Rejudged


def checked_reason(text: str) -> str:
    """The reason without surrounding space. *Raises* ReasonError."""
    reason = " ".join(text.split())
    if not reason:
        problem = "missing: say in a few words why the attempts are judged again; learners will read it"
        raise ReasonError(Problem(path="reason", value=text or None, problem=problem))
    if len(reason) > _REASON_CHARACTERS:
        problem = f"longer than {_REASON_CHARACTERS} characters; learners will read it beside their marks"
        raise ReasonError(Problem(path="reason", value=len(reason), problem=problem))
    return reason


@dataclass(frozen=True, kw_only=True)
class Regrading:
    """The use case of judging again; all that changes from outside is handed in."""

    storage: Storage
    form: RegradingForm
    catalogue: Sequence[Misconception]
    version: str
    now: Callable[[], datetime]
    rules: Sequence[Rule] = ALL_RULES

    def count(self) -> int:
        """How many attempts there are to go through."""
        with self.storage.reading() as repositories:
            return repositories.attempts.count()

    def run(self, reason: str | None = None) -> Iterator[Outcome]:
        """Every attempt in turn; with a reason the new results are kept, else nothing is written.

        A few attempts are in memory at a time. What was kept stays kept when the run is broken off,
        and the next run goes on from there. *Raises* ReasonError.
        """
        why = None if reason is None else checked_reason(reason)
        place: AttemptPlace | None = None
        while places := self._places_after(place):
            for place in places:
                yield self._outcome(place, why)

    def _places_after(self, place: AttemptPlace | None) -> Sequence[AttemptPlace]:
        with self.storage.reading() as repositories:
            return repositories.attempts.after(place, limit=_AT_A_TIME)

    def _outcome(self, place: AttemptPlace, why: str | None) -> Outcome:
        if self.version in place.rule_set_versions:
            return Untouched(place=place, at_first=place.rule_set_versions[0] == self.version)
        try:
            return self._rejudged(place, why)
        except TrainerError as error:
            return NotJudged(place=place, problems=error.problems)

    def _rejudged(self, place: AttemptPlace, why: str | None) -> Rejudged | ByKey:
        with _telling("what is stored"), self.storage.reading() as repositories:
            attempt, task_id, content, last = _stored(repositories, place)
        with _telling("the task as it was delivered"):
            task = self.form.read_task(content)
        if task.kind is not TaskKind.CHOOSE:
            return ByKey(place=place)
        with _telling("the grade that was given"):
            before = self.form.read_grade(last.grade_json if last else attempt.grade_json)
        judged = self._graded(task, attempt)
        after = self.form.said(task, task_id, judged)
        return Rejudged(
            attempt=attempt,
            task=task,
            under=last.rule_set_version if last else attempt.rule_set_version,
            before=before,
            after=after,
            differences=differences(before, after),
            kept=None if why is None else self._kept(attempt, task, task_id, judged, why),
        )

    def _graded(self, task: Task, attempt: AttemptRecord) -> Grade:
        answers, certainty = _table("answers", attempt.answers_json), _table("certainty", attempt.certainty_json)
        wrong = [name for name, value in answers.items() if not isinstance(value, str)]
        if wrong:
            raise UnjudgeableError(
                *(Problem(path=f"answers.{name}", problem="not the id of an option") for name in wrong)
            )
        try:
            return grade(task, answers, self.rules, certainty=certainty, catalogue=self.catalogue)
        except ValueError as error:
            problem = f"cannot be marked under this rule set: {error}; look at the task itself"
            raise UnjudgeableError(Problem(path="task", problem=problem)) from error

    def _kept(self, attempt: AttemptRecord, task: Task, task_id: str, judged: Grade, why: str) -> RegradingRecord:
        made = RegradingRecord(
            attempt_id=attempt.id,
            rule_set_version=self.version,
            edition=task.edition.value,
            grade_json=self.form.write_grade(task, task_id, judged),
            marks=judged.marks,
            marks_available=judged.marks_available,
            safe_to_energise=judged.safe_to_energise,
            reason=why,
            regraded_at=self.now(),
        )
        # One short transaction for each, so that whoever hands in meanwhile does not wait.
        with self.storage.writing() as repositories:
            return repositories.regradings.record(made)


def judged_again(storage: Storage, attempt_ids: Sequence[str]) -> Mapping[str, Sequence[RegradingRecord]]:
    """For each of the attempts that was judged again its further results, oldest first."""
    with storage.reading() as repositories:
        return repositories.regradings.of(attempt_ids)


def _stored(
    repositories: Repositories, place: AttemptPlace
) -> tuple[AttemptRecord, str, bytes, RegradingRecord | None]:
    """The attempt, the id and bytes of its task, and the latest result of judging it again."""
    attempt = repositories.attempts.get(place.attempt_id)
    page = repositories.pages.get(place.page_id)
    stored = repositories.tasks.get(page.content_hash) if page else None
    if attempt is None or stored is None:
        raise UnjudgeableError(Problem(path="", problem="is no longer there; it was taken away meanwhile"))
    again = repositories.regradings.of([attempt.id]).get(attempt.id, ())
    return attempt, stored.content_hash, stored.content, again[-1] if again else None


def _table(name: str, text: str) -> dict[str, Any]:
    """A stored table of decisions. *Raises* UnjudgeableError."""
    try:
        table = json.loads(text)
    except ValueError as error:
        raise UnjudgeableError(Problem(path=name, problem=f"what was handed in is not JSON: {error}")) from error
    if not isinstance(table, dict):
        raise UnjudgeableError(Problem(path=name, problem="what was handed in is not a table of decisions"))
    return table


@contextmanager
def _telling(what: str) -> Iterator[None]:
    """Puts what was being read before the problems of an error."""
    try:
        yield
    except TrainerError as error:
        problems = (replace(each, path=": ".join(filter(None, (what, each.path)))) for each in error.problems)
        raise UnjudgeableError(*problems) from error
