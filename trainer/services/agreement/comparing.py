"""The rule book's verdicts on residual current types compared with the fault walks', over many houses."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from trainer.domain.answers.decisions import apply
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.reading import LEVELS
from trainer.domain.generator.request import TaskRequest
from trainer.domain.installation import Installation
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Edition
from trainer.services.agreement.exceptions import explanation
from trainer.services.agreement.routes import Answers, answers_for
from trainer.services.scenarios import make_task

_DRAWS_VERSION = "1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """One verdict on which the two routes differ, without a name that explains it."""

    seed: int
    proposal: int
    answers: Answers

    def __str__(self) -> str:
        """One line that leads back to the case."""
        answers = self.answers
        rules = ", ".join(f"{each.rule.id} {each.verdict.case}" for each in answers.findings if each.fails)
        return (
            f"seed {self.seed}, proposal {self.proposal}: devices.{answers.device.id} ({answers.question.value}): "
            f"rules {_word(answers.rule_fails)} [{rules}], walks {_word(answers.walk_fails)} "
            f"[{', '.join(answers.origins)}]"
        )


@dataclass(slots=True, kw_only=True)
class Agreement:
    """The count of a comparison: verdicts compared, those that one route could not give, exceptions by name."""

    compared: int = 0
    agreed: int = 0
    open: int = 0
    failing: int = 0
    explained: Counter[str] = field(default_factory=Counter)
    unexplained: list[Disagreement] = field(default_factory=list)

    def add(self, seed: int, proposal: int, answers: Answers) -> None:
        """Count one pair of answers."""
        if not answers.judged:
            return
        if not answers.comparable:
            self.open += 1
            return
        self.compared += 1
        self.failing += bool(answers.rule_fails)
        if answers.agree:
            self.agreed += 1
            return
        name = explanation(answers)
        if name is None:
            self.unexplained.append(Disagreement(seed=seed, proposal=proposal, answers=answers))
        else:
            self.explained[name] += 1


def compare_seeds(seeds: Iterable[int], proposals: int = 4) -> Agreement:
    """Compare both routes over the houses of seeds, the levels in turn, with several proposals each.

    The first proposal of a house is the intended one; the others are drawn, so most are wrong.
    """
    result = Agreement()
    for seed in seeds:
        task = make_task(TaskRequest(seed=seed, level=LEVELS[seed % len(LEVELS)]))
        for number, house in enumerate(proposed_houses(task, proposals)):
            compare_house(result, house, task.edition, seed=seed, proposal=number)
    return result


def compare_house(
    result: Agreement, house: Installation, edition: Edition, *, seed: int = 0, proposal: int = 0
) -> None:
    """Add every verdict on one house to a comparison."""
    for answers in answers_for(house, edition):
        result.add(seed, proposal, answers)


def proposed_houses(task: Task, count: int) -> Iterator[Installation]:
    """The house with the intended proposal, then with proposals drawn from the task's seed."""
    yield apply(task.house, task.decisions, task.key.intended)
    draws = Draws(task.seed, "agreement", _DRAWS_VERSION)
    for _ in range(count - 1):
        drawn = {each.id: draws.choice(each.options).id for each in task.decisions}
        yield apply(task.house, task.decisions, drawn)


def _word(fails: bool | None) -> str:
    return {True: "fail", False: "pass", None: "cannot tell"}[fails]
