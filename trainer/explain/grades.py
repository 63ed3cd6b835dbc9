"""A grade in words: what each choice does, and why it earned its marks or lost them."""

from __future__ import annotations

from trainer.domain.answers.decisions import apply
from trainer.domain.answers.marking import DecisionGrade, Grade
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.tasks import Task
from trainer.explain.explanation import Explanation, as_text, explain


def chosen_house(task: Task, result: Grade) -> Installation:
    """The installation with the choices of a graded proposal put in."""
    return apply(task.house, task.decisions, {each.id: each.chosen for each in result.decisions})


def bearing(result: Grade, each: DecisionGrade) -> list[Finding]:
    """The findings to show at a decision: those that fail, or else those that it satisfies."""
    findings = [result.findings[place] for place in each.findings]
    return [finding for finding in findings if finding.fails] or findings


def decision_explanations(
    task: Task, result: Grade, each: DecisionGrade, house: Installation | None = None
) -> list[Explanation]:
    """The explanations to show at a decision."""
    as_chosen = house or chosen_house(task, result)
    return [explain(finding, as_chosen, edition=task.edition) for finding in bearing(result, each)]


def decision_words(task: Task, result: Grade, each: DecisionGrade) -> tuple[str, str]:
    """What the choice does under a fault, and the whole explanation, as plain text."""
    explanations = decision_explanations(task, result, each)
    return (
        " ".join(as_text(part.happens) for part in explanations),
        " ".join(part.text for part in explanations),
    )
