"""``trainer solve``: all acceptable answers to a task."""

from __future__ import annotations

import sys

import click

from trainer.cli.output import JSON, errors_as, format_option, input_bytes, print_json
from trainer.domain.answers.solver import Solution
from trainer.domain.asks.answers import told
from trainer.domain.tasks import Task
from trainer.explain.caution import CAUTION
from trainer.interop.answers_json import asks_solution_json, solution_json
from trainer.interop.documents import BYTES_MAXIMUM
from trainer.interop.task_reading import read_task
from trainer.services.answering import solution_of
from trainer.services.scenarios import with_key

_NONE_ACCEPTABLE = 1


@click.command()
@click.argument("scenario", metavar="SCENARIO")
@format_option
def solve(scenario: str, form: str) -> None:
    """Print all acceptable answers to the task in SCENARIO (JSON; - for standard input).

    Exit code 0: there are some. 1: there are none. 2: the file cannot be used.
    """
    with errors_as(form):
        read = read_task(input_bytes(scenario, BYTES_MAXIMUM))
        task = with_key(read.task)
        if task.asks:
            _print_answers(task, read.id, form)
            return
        solution = solution_of(task)
    if form == JSON:
        print_json(solution_json(read.task, read.id, solution))
    else:
        click.echo(_text(read.task, solution))
    sys.exit(0 if solution.acceptable_count else _NONE_ACCEPTABLE)


def _print_answers(task: Task, task_id: str, form: str) -> None:
    if form == JSON:
        print_json(asks_solution_json(task, task_id))
        return
    lines = [f"{task.title} (invented)"]
    for ask in task.asks:
        right = "; or ".join(told(ask, each) for each in task.key.asks[ask.id].answers)
        lines += [f"  {ask.question} {right}", f"    {task.key.asks[ask.id].why}"]
    click.echo("\n".join((*lines, "", CAUTION)))


def _text(task: Task, solution: Solution) -> str:
    lines = [
        f"{task.title} (invented)",
        f"{solution.acceptable_count} of {solution.proposal_space} proposals have no failing finding.",
    ]
    if solution.acceptable_count:
        cheapest = solution.cheapest()
        lines.append("The one that needs least, by the invented cost index:")
        for decision in task.decisions:
            fitting = solution.fitting(cheapest, decision.id)
            others = [decision.option(each).label for each in fitting if each != cheapest[decision.id]]
            also = f"   (also: {', '.join(others)})" if others else ""
            lines.append(f"  {decision.question} {decision.option(cheapest[decision.id]).label}{also}")
    return "\n".join((*lines, "", CAUTION))
