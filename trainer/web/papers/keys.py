"""A drawn task with its key, as the preview shows it: acceptable answers, traps, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision, Option
from trainer.domain.answers.solver import Solution
from trainer.domain.asks.answers import told
from trainer.domain.asks.forms import Ask, AskKey
from trainer.domain.tasks import Task, Trap
from trainer.explain.diagram.render import Diagram
from trainer.explain.grades import bearing
from trainer.services.answering import grade_answer, solution_of, weights_of
from trainer.services.papers.variants import DrawnItem
from trainer.services.scenarios import scenarios
from trainer.web.asked.figures import Figures, figures_of
from trainer.web.practice.comparing import options_met
from trainer.web.practice.drawings import open_drawing
from trainer.web.practice.wired import translated_engine


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionKey:
    """A decision with its marks, the intended option, those of acceptable answers, and the traps in it."""

    decision: Decision
    marks: int
    intended: str
    acceptable: frozenset[str]
    traps: Mapping[str, Trap]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedKey:
    """Something asked with its marks, the right answers in words, and wrong ones that people give."""

    ask: Ask
    marks: int
    key: AskKey
    answers: tuple[str, ...]
    wrongs: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownItem:
    """An item of a variant with everything that its preview shows."""

    item: DrawnItem
    task: Task
    diagram: Diagram | None
    figures: Figures | None
    acceptable_count: int
    proposal_space: int
    decisions: tuple[DecisionKey, ...]
    asks: tuple[AskedKey, ...]

    @property
    def own_marks(self) -> int:
        """The task's own marks, which are scaled to those of the slot."""
        return sum(each.marks for each in self.decisions) + sum(each.marks for each in self.asks)


def shown_item(item: DrawnItem) -> ShownItem:
    """The item with its key."""
    task = item.task
    if task.asks:
        figures = figures_of(task, translated_engine())
        return ShownItem(
            item=item,
            task=task,
            diagram=figures.diagram,
            figures=figures,
            acceptable_count=0,
            proposal_space=0,
            decisions=(),
            asks=_asked(task),
        )
    solution = solution_of(task)
    met = options_met(solution)
    return ShownItem(
        item=item,
        task=task,
        diagram=open_drawing(task, {}, translated_engine()),
        figures=None,
        acceptable_count=solution.acceptable_count,
        proposal_space=solution.proposal_space,
        decisions=tuple(
            DecisionKey(
                decision=each,
                marks=marks,
                intended=task.key.intended[each.id],
                acceptable=frozenset(each.options[number].id for number in met[each.id]),
                traps={trap.option: trap for trap in task.key.traps if trap.decision == each.id},
            )
            for each, marks in zip(task.decisions, solution.weights, strict=True)
        ),
        asks=(),
    )


def _asked(task: Task) -> tuple[AskedKey, ...]:
    return tuple(
        AskedKey(
            ask=each,
            marks=marks,
            key=task.key.asks[each.id],
            answers=tuple(told(each, answer) for answer in task.key.asks[each.id].answers),
            wrongs=tuple(
                (told(each, wrong.answer), wrong.why, wrong.misconception) for wrong in task.key.asks[each.id].wrongs
            ),
        )
        for each, marks in zip(task.asks, weights_of(task), strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongOption:
    """An option that is right in no acceptable answer: the rules it fails, and the belief it gives away."""

    option: Option
    rules: tuple[str, ...]
    misconception: str


def wrong_options(task: Task) -> Mapping[str, tuple[WrongOption, ...]]:
    """Of each decision the options that are never right, each judged with everything else as intended."""
    solution = solution_of(task)
    met = options_met(solution)
    return {
        each.id: tuple(
            _wrong(task, each, option, solution)
            for number, option in enumerate(each.options)
            if number not in met[each.id]
        )
        for each in task.decisions
    }


def _wrong(task: Task, decision: Decision, option: Option, solution: Solution) -> WrongOption:
    catalogue = tuple(scenarios().misconceptions.values())
    proposal = {**task.key.intended, decision.id: option.id}
    grade = grade_answer(task, proposal, catalogue=catalogue, solution=solution)
    own = next(each for each in grade.decisions if each.id == decision.id)
    rules = dict.fromkeys(each.rule.id for each in bearing(grade, own) if each.fails)
    return WrongOption(option=option, rules=tuple(rules), misconception=own.misconception or "")
