"""``trainer solve``: all acceptable answers to a task."""

from __future__ import annotations

import sys

import click

from trainer.cli.output import JSON, errors_as, format_option, input_bytes, print_json
from trainer.domain.answers.solver import Solution
from trainer.domain.tasks import Task
from trainer.explain.caution import CAUTION
from trainer.interop.answers_json import solution_json
from trainer.interop.documents import BYTES_MAXIMUM
from trainer.interop.task_reading import read_task
from trainer.services.answering import solution_of

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
        solution = solution_of(read.task)
    if form == JSON:
        print_json(solution_json(read.task, read.id, solution))
    else:
        click.echo(_text(read.task, solution))
    sys.exit(0 if solution.acceptable_count else _NONE_ACCEPTABLE)


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
