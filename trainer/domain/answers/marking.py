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
from trainer.domain.errors import Problem, unknown
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
    certainty: Mapping[str, object] | None = None,
    catalogue: Sequence[Misconception] = (),
) -> Grade:
    """Mark a proposal by the rules.

    ``solution`` saves solving the task again. *Raises* ProposalError for unknown or missing
    decisions, options and certainties, all of them at once.
    """
    checked = checked_proposal(task.decisions, proposal)
    sure = checked_certainty([each.id for each in task.decisions], certainty or {})
    solved = solution or solve(task.house, task.decisions, rules, task.edition)
    bench = Bench(task.house, task.decisions, rules, task.edition)
    nearest = solved.nearest(checked)
    judged = bench.judged(solved.numbers(checked))
    marker = _Marker(
        task=task,
        catalogue=catalogue,
        solved=solved,
        checked=checked,
        nearest=nearest,
        nearest_numbers=solved.numbers(nearest),
        findings=tuple(finding for finding, _ in judged),
        places=_places(len(task.decisions), [read for _, read in judged]),
    )
    decisions = tuple(marker.decision(number, sure.get(each.id)) for number, each in enumerate(task.decisions))
    least_change = marker.least_change()
    findings = marker.findings
    return Grade(
        marks=sum(each.marks for each in decisions),
        marks_available=sum(each.marks_available for each in decisions),
        safe_to_energise=not any(finding.is_hazard for finding in findings),
        decisions=decisions,
        least_change=least_change,
        findings=findings,
        dearer_by=None if least_change else marker.dearer_by(),
    )


def _places(size: int, reads: Sequence[frozenset[int]]) -> list[list[int]]:
    """For each decision the places of the findings that read it."""
    places: list[list[int]] = [[] for _ in range(size)]
    for place, read in enumerate(reads):
        for decision in read:
            places[decision].append(place)
    return places


@dataclass(frozen=True, slots=True, kw_only=True)
class _Marker:
    """One proposal beside the nearest acceptable one, with all findings and where each decision is read."""

    task: Task
    catalogue: Sequence[Misconception]
    solved: Solution
    checked: Proposal
    nearest: Proposal
    nearest_numbers: Sequence[int]
    findings: tuple[Finding, ...]
    places: Sequence[Sequence[int]]

    def decision(self, number: int, certainty: int | None) -> DecisionGrade:
        """The grade of one decision."""
        each = self.task.decisions[number]
        chosen = self.checked[each.id]
        right = chosen == self.nearest[each.id]
        available = self.solved.weights[number]
        places = tuple(self.places[number])
        return DecisionGrade(
            id=each.id,
            chosen=chosen,
            acceptable=self.solved.fitting_at(self.nearest_numbers, number),
            marks=available if right else 0,
            marks_available=available,
            findings=places,
            nearest_option=self.nearest[each.id],
            misconception=None if right else self._misconception(each, chosen, places),
            certainty=certainty,
        )

    def _misconception(self, decision: Decision, option: str, places: tuple[int, ...]) -> str | None:
        """The planted trap's misconception where the option is the trap's, else by its signs."""
        for trap in self.task.key.traps:
            if trap.decision == decision.id and trap.option == option:
                return trap.misconception
        attribute = decision.paths[0].rpartition(".")[2]
        findings = [self.findings[place] for place in places]
        return recognised(self.catalogue, findings, attribute, option)

    def least_change(self) -> tuple[Change, ...]:
        """The steps from the proposal to the nearest acceptable one."""
        return tuple(
            Change(decision=each, chosen=self.checked[each], instead=self.nearest[each])
            for each in self.checked
            if self.checked[each] != self.nearest[each]
        )

    def dearer_by(self) -> int:
        """The proposal's cost index above that of the cheapest acceptable one."""
        return self.solved.cost(self.checked) - self.solved.cost(self.solved.cheapest())


def checked_certainty(ids: Sequence[str], certainty: Mapping[str, object]) -> dict[str, int]:
    """The certainties by decision. *Raises* ProposalError for other ids and other values."""
    sure: dict[str, int] = {}
    problems: list[Problem] = []
    for key, value in certainty.items():
        if key not in ids:
            problems.append(unknown(f"certainty.{key}", key, ids, "decision"))
        elif type(value) is int and 0 <= value <= HIGHEST_CERTAINTY:
            sure[key] = value
        else:
            problems.append(
                Problem(
                    path=f"certainty.{key}",
                    value=str(value),
                    problem="how sure must be a whole number from 0 to 3",
                    possible=("0", "1", "2", "3"),
                )
            )
    if problems:
        raise ProposalError(*problems)
    return sure
