"""Marking: what a proposal is worth, why, and the least change that would put it right.

A decision loses its marks exactly if it is in the least change to an acceptable proposal; of
several equally small changes, the one that costs the learner fewest marks. Marks are whole or
nothing. A failing finding is shown at every decision on which it depends.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.answers.conditions import Bench
from trainer.domain.answers.decisions import Decision, Proposal, ProposalError, checked_proposal
from trainer.domain.answers.misconceptions import Misconception, recognised
from trainer.domain.answers.solver import Solution, solve
from trainer.domain.errors import Problem
from trainer.domain.findings import Finding
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task

HIGHEST_CERTAINTY = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionGrade:
    """One decision's marks and what bears on them.

    ``acceptable`` holds the options that comply with the rest as in the nearest acceptable
    proposal; ``findings`` the places in ``Grade.findings`` of those that depend on this decision;
    ``nearest_option`` is the chosen one where it was right.
    """

    id: str
    chosen: str
    acceptable: tuple[str, ...]
    marks: int
    marks_available: int
    findings: tuple[int, ...]
    nearest_option: str
    misconception: str | None
    certainty: int | None

    @property
    def is_right(self) -> bool:
        """True when the decision earned its marks."""
        return self.marks == self.marks_available


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One step of the least change: a decision, the option it has, the option it should have."""

    decision: str
    chosen: str
    instead: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """The result of one proposal.

    ``dearer_by`` is how much more the proposal costs, by the invented index, than the cheapest
    acceptable one; None where the proposal is not acceptable.
    """

    marks: int
    marks_available: int
    safe_to_energise: bool
    decisions: tuple[DecisionGrade, ...]
    least_change: tuple[Change, ...]
    findings: tuple[Finding, ...]
    dearer_by: int | None


def grade(
    task: Task,
    proposal: Proposal,
    rules: Sequence[Rule],
    *,
    solution: Solution | None = None,
    certainty: Mapping[str, int] | None = None,
    catalogue: Sequence[Misconception] = (),
) -> Grade:
    """Mark a proposal by the rules.

    ``solution`` saves solving the task again. *Raises* ProposalError for unknown or missing
    decisions, options and certainties, all of them at once.
    """
    checked = checked_proposal(task.decisions, proposal)
    sure = _checked_certainty(task.decisions, certainty or {})
    solved = solution or solve(task.house, task.decisions, rules, task.edition)
    bench = Bench(task.house, task.decisions, rules, task.edition)
    judged = bench.judged(solved.numbers(checked))
    nearest = solved.nearest(checked)
    findings = tuple(finding for finding, _ in judged)
    decisions = tuple(
        _graded(
            number,
            checked,
            nearest,
            solved,
            [place for place, (_, read) in enumerate(judged) if number in read],
            findings,
            _Signs(task, catalogue),
            sure.get(decision.id),
        )
        for number, decision in enumerate(task.decisions)
    )
    least_change = tuple(
        Change(decision=each, chosen=checked[each], instead=nearest[each])
        for each in checked
        if checked[each] != nearest[each]
    )
    cheapest = solved.cheapest()
    return Grade(
        marks=sum(each.marks for each in decisions),
        marks_available=sum(each.marks_available for each in decisions),
        safe_to_energise=not any(finding.is_hazard for finding in findings),
        decisions=decisions,
        least_change=least_change,
        findings=findings,
        dearer_by=None if least_change else solved.cost(checked) - solved.cost(cheapest),
    )


@dataclass(frozen=True, slots=True)
class _Signs:
    """Where misconceptions are recognised: the planted traps first, then the catalogue."""

    task: Task
    catalogue: Sequence[Misconception]

    def of(self, decision: Decision, option: str, findings: Sequence[Finding]) -> str | None:
        for trap in self.task.key.traps:
            if trap.decision == decision.id and trap.option == option:
                return trap.misconception
        attribute = decision.paths[0].rpartition(".")[2]
        return recognised(self.catalogue, findings, attribute, option)


def _graded(
    number: int,
    checked: Proposal,
    nearest: Proposal,
    solved: Solution,
    places: list[int],
    findings: tuple[Finding, ...],
    signs: _Signs,
    certainty: int | None,
) -> DecisionGrade:
    decision = solved.decisions[number]
    chosen = checked[decision.id]
    right = chosen == nearest[decision.id]
    available = solved.weights[number]
    bearing = [findings[place] for place in places]
    return DecisionGrade(
        id=decision.id,
        chosen=chosen,
        acceptable=solved.fitting(nearest, decision.id),
        marks=available if right else 0,
        marks_available=available,
        findings=tuple(places),
        nearest_option=nearest[decision.id],
        misconception=None if right else signs.of(decision, chosen, bearing),
        certainty=certainty,
    )


def _checked_certainty(decisions: Sequence[Decision], certainty: Mapping[str, int]) -> dict[str, int]:
    ids = {decision.id for decision in decisions}
    problems = [
        Problem(
            path=f"certainty.{key}",
            value=value,
            problem="certainty belongs to a decision of the task and runs from 0 to 3",
        )
        for key, value in certainty.items()
        if key not in ids or not isinstance(value, int) or not 0 <= value <= HIGHEST_CERTAINTY
    ]
    if problems:
        raise ProposalError(*problems)
    return dict(certainty)
