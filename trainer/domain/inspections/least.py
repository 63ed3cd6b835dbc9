"""Whether putting right what was done wrong is the one least change to a house that complies.

The nearest house is sought among those that keep what the failing rules ask. Where another rule fails
in it, what that one asks is added and the search begins again. So few rules are explored, and yet the
answer is that of all of them: what is nearest by a part of the rules is never farther than by all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from trainer.domain.answers.conditions import Bench, Forbidden
from trainer.domain.answers.factored import best
from trainer.domain.answers.solver import acceptable
from trainer.domain.generator.trial import Case, Trial
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Outcome

Place = tuple[str, str]
"""The id of a rule and the path of a record that it judges."""


def only_least_change(task: Task, trial: Trial, wrong: Mapping[str, str], cases: Iterable[Case]) -> bool:
    """True when every house that complies with as few changes as there are wrong choices changes exactly these.

    ``trial`` is the house with the intended proposal in it, ``cases`` what the rules say of it with the
    wrong choices.
    """
    if not wrong:
        return True
    bench = Bench(task.house, task.decisions, ALL_RULES, task.edition)
    forbidden: Forbidden = {}
    failing = _failing(cases)
    while True:
        forbidden.update(bench.forbidden_by(failing))
        nearest = _nearest(task, wrong, bench.sizes, forbidden)
        if all((nearest[each.id] != _found(task, wrong, each.id)) == (each.id in wrong) for each in task.decisions):
            return True
        other = {name: option for name, option in nearest.items() if option != task.key.intended[name]}
        failing = _failing(trial.changed(other).values())
        if not failing:
            return False


def _failing(cases: Iterable[Case]) -> set[Place]:
    return {(case.rule.id, case.path) for case in cases if case.outcome is Outcome.DOES_NOT_COMPLY}


def _found(task: Task, wrong: Mapping[str, str], decision: str) -> str:
    """The option that stands in the house as it was found."""
    return wrong.get(decision, task.key.intended[decision])


def _nearest(task: Task, wrong: Mapping[str, str], sizes: Sequence[int], forbidden: Forbidden) -> dict[str, str]:
    """The proposal that keeps clear of what is forbidden with fewest changes, as few as can be of the wrong choices.

    Were there another change as small, it would be preferred to putting right the wrong choices.
    """
    ids = [[option.id for option in each.options] for each in task.decisions]
    names = [each.id for each in task.decisions]

    def cost(decision: int, option: int) -> tuple[int, int]:
        name = names[decision]
        kept = ids[decision][option] == _found(task, wrong, name)
        return (0, 0) if kept else (1, int(name in wrong))

    choice = best(acceptable(sizes, frozenset(forbidden)), cost, 2)[1]
    return {name: ids[number][choice[number]] for number, name in enumerate(names)}
