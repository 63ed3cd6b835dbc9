"""Wrong answers to many tasks with what the result tells of them, for the tests that read it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from random import Random

from trainer.domain.answers.marking import DecisionGrade
from trainer.domain.asks.forms import Ask
from trainer.domain.findings import Finding
from trainer.domain.generator.request import TaskRequest
from trainer.domain.installation import Installation
from trainer.domain.questions.defining import Family
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import Task, TaskKind
from trainer.explain.asks import ask_explanations, ask_words, findings_as_found
from trainer.explain.explanation import Explanation, explain
from trainer.explain.grades import bearing, chosen_house
from trainer.services.answering import grade_answer, solution_of
from trainer.services.scenarios import make_task, scenarios

CATALOGUE = tuple(scenarios().misconceptions.values())
_MOST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One explanation of one wrong decision, with the task and the house as it was chosen."""

    task: Task
    house: Installation
    graded: DecisionGrade
    finding: Finding
    said: Explanation

    @property
    def where(self) -> str:
        """What to print when it displeases."""
        return f"{self.task.archetype} seed {self.task.seed}, {self.graded.id}={self.graded.chosen}: {self.said.text}"


def _tasks() -> Iterator[Task]:
    """Each archetype at one of its levels; all levels occur."""
    archetypes = scenarios().archetypes
    for number, name in enumerate(sorted(archetypes)):
        levels = archetypes[name].levels
        yield make_task(TaskRequest(seed=4000 + number, level=levels[number % len(levels)], archetype=name))


def _slips(task: Task) -> list[tuple[str, str]]:
    """One wrong option at a time: the planted traps first, then some others."""
    planted = [(trap.decision, trap.option) for trap in task.key.traps]
    others = [
        (decision.id, option.id)
        for decision in task.decisions
        for option in decision.options
        if option.id != task.key.intended[decision.id]
    ]
    Random(task.seed).shuffle(others)
    return list(dict.fromkeys([*planted, *others]))


@cache
def told_of_choices() -> tuple[Told, ...]:
    """What is told of wrong choices in houses of every archetype."""
    return tuple(told for task in _tasks() for told in _told(task))


def _told(task: Task) -> Iterator[Told]:
    solution, wrong = solution_of(task), 0
    for decision, option in _slips(task):
        if wrong == _MOST:
            return
        grade = grade_answer(task, {**task.key.intended, decision: option}, catalogue=CATALOGUE, solution=solution)
        wrong += bool(grade.least_change)
        house = chosen_house(task, grade)
        for each in (each for each in grade.decisions if not each.is_right):
            for finding in bearing(grade, each):
                said = explain(finding, house, edition=task.edition)
                yield Told(task=task, house=house, graded=each, finding=finding, said=said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is told of one wrong answer to an ask."""

    task: Task
    ask: Ask
    graded: DecisionGrade
    wrong: str
    whole: str
    said: tuple[Explanation, ...]

    @property
    def where(self) -> str:
        """What to print when it displeases."""
        return f"{self.task.archetype} seed {self.task.seed}, {self.ask.question}: {self.whole}"


@cache
def told_of_asks() -> tuple[Asked, ...]:
    """What is told of wrong answers in inspections, in readings and in every family of questions."""
    requests = [TaskRequest(seed=4100 + n, level=1 + n % 5, kind=TaskKind.INSPECT) for n in range(6)]
    requests += [TaskRequest(seed=4200 + n, level=1 + n % 5, kind=TaskKind.MEASURE) for n in range(6)]
    tasks = [make_task(request) for request in requests]
    tasks += [_question(number, family) for number, family in enumerate(ALL_FAMILIES)]
    return tuple(asked for task in tasks for asked in _asked(task))


def _question(number: int, family: Family) -> Task:
    return make_task(TaskRequest(seed=4300 + number, level=family.level, kind=TaskKind.QUESTION, family=family.id))


def _asked(task: Task) -> Iterator[Asked]:
    findings = findings_as_found(task)
    right = {ask.id: task.key.asks[ask.id].model for ask in task.asks}
    for ask in task.asks:
        for answer in [known.answer for known in task.key.asks[ask.id].wrongs][:_MOST]:
            grade = grade_answer(task, {**right, ask.id: answer})
            graded = next(each for each in grade.decisions if each.id == ask.id)
            wrong, whole = ask_words(task, graded)
            said = tuple(ask_explanations(task, graded, findings))
            yield Asked(task=task, ask=ask, graded=graded, wrong=wrong, whole=whole, said=said)


@cache
def told_by_case() -> dict[tuple[str, str, str], Told]:
    """The first explanation of each rule, outcome and case among all that is told of choices."""
    found: dict[tuple[str, str, str], Told] = {}
    for told in told_of_choices():
        key = (told.finding.rule.id, told.finding.outcome.value, told.finding.verdict.case)
        found.setdefault(key, told)
    return found
