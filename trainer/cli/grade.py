"""``trainer grade``: marks and explanations for one answer to a task."""

from __future__ import annotations

import textwrap

import click

from trainer.cli.output import JSON, errors_as, format_option, input_bytes, print_json
from trainer.domain.answers.marking import DecisionGrade, Grade
from trainer.domain.asks.answers import told
from trainer.domain.tasks import Task
from trainer.explain.asks import ask_words
from trainer.explain.caution import CAUTION
from trainer.explain.grades import decision_words
from trainer.interop.answers_json import Words, answer_from_bytes, grade_json
from trainer.interop.documents import BYTES_MAXIMUM
from trainer.interop.task_reading import read_task
from trainer.services.answering import grade_answer
from trainer.services.scenarios import scenarios, with_key

_WIDTH = 96


@click.command()
@click.argument("scenario", metavar="SCENARIO")
@click.argument("proposal", metavar="PROPOSAL")
@format_option
def grade(scenario: str, proposal: str, form: str) -> None:
    """Mark the answer in PROPOSAL to the task in SCENARIO (JSON; one may be - for standard input).

    Exit code 0 whenever it graded; 2: a file cannot be used.
    """
    with errors_as(form):
        read = read_task(input_bytes(scenario, BYTES_MAXIMUM))
        task = with_key(read.task)
        answer = answer_from_bytes(input_bytes(proposal, BYTES_MAXIMUM), read.id, read.task.kind)
        result = grade_answer(
            task, answer.answers, certainty=answer.certainty, catalogue=tuple(scenarios().misconceptions.values())
        )
    words = [_words(task, result, each) for each in result.decisions]
    if form == JSON:
        print_json(grade_json(task, read.id, result, words, CAUTION))
    else:
        click.echo(_text(task, result, words))


def _words(task: Task, result: Grade, each: DecisionGrade) -> Words:
    return Words(*(ask_words(task, each) if task.asks else decision_words(task, result, each)))


def _text(task: Task, result: Grade, words: list[Words]) -> str:
    lines = [f"{task.title} (invented)", f"{result.marks} of {result.marks_available} marks."]
    if not result.safe_to_energise:
        lines.append(_danger(task))
    for each, text in zip(result.decisions, words, strict=True):
        lines += ["", *_decision(task, each, text)]
    if result.least_change:
        lines += ["", "Right answers:" if task.asks else "Least change:"]
        lines += [
            f"  {_question(task, step.decision)} {_label(task, step.decision, step.instead)}"
            for step in result.least_change
        ]
    if result.dearer_by:
        lines += ["", f"It complies, but is dearer than it needs to be by {result.dearer_by} points of the index."]
    return "\n".join((*lines, "", textwrap.fill(CAUTION, _WIDTH)))


def _danger(task: Task) -> str:
    if task.asks:
        return "A DANGER WOULD REMAIN: a stated requirement against shock or fire is not met and would go unnoticed."
    return "NOT SAFE TO ENERGISE: a stated requirement against shock or fire is not met."


def _decision(task: Task, each: DecisionGrade, text: Words) -> list[str]:
    mark = "right" if each.is_right else "wrong"
    head = f"{_question(task, each.id)} {_label(task, each.id, each.chosen)}: {mark}, "
    lines = [head + f"{each.marks} of {each.marks_available}"]
    if text.explanation:
        lines.append(textwrap.fill(text.explanation, _WIDTH, initial_indent="  ", subsequent_indent="  "))
    return lines


def _question(task: Task, decision_id: str) -> str:
    questions = {each.id: each.question for each in task.decisions}
    return (questions | {each.id: each.question for each in task.asks})[decision_id]


def _label(task: Task, decision_id: str, option: str) -> str:
    for ask in task.asks:
        if ask.id == decision_id:
            return told(ask, option)
    return next(each for each in task.decisions if each.id == decision_id).option(option).label
