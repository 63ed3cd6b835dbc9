"""``trainer scenario``: one task of a seed, for people or for machines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

import click

from trainer.cli.output import JSON, errors_as, format_option, print_json
from trainer.domain.asks.answers import told
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Sheet, Task, TaskKind
from trainer.explain.caution import CAUTION
from trainer.interop.task_json import task_json
from trainer.services.answering import solution_of, weights_of
from trainer.services.scenarios import kind_named, make_task, scenarios

_WIDTH = 88


@click.command()
@click.option("--seed", type=int, required=True, metavar="N", help="Any whole number from 0 to 2^63 - 1.")
@click.option("--archetype", metavar="A", help="Kind of premises; without it the seed draws one.")
@click.option("--family", metavar="F", help="Family of a question; without it the seed draws one.")
@click.option("--level", type=int, default=1, show_default=True, metavar="L", help="1 to 5.")
@click.option(
    "--kind", default=TaskKind.CHOOSE.value, show_default=True, metavar="|".join(TaskKind), help="Kind of task."
)
@click.option(
    "--objective", "objectives", multiple=True, metavar="LO", help="Seek a task that exercises it; may repeat."
)
@click.option("--generator-version", metavar="V", help="The version that the seed was given with, to be sure.")
@click.option("--with-key", is_flag=True, help="Add what was intended, the traps and the number of acceptable answers.")
@format_option
def scenario(
    seed: int,
    archetype: str | None,
    family: str | None,
    level: int,
    kind: str,
    objectives: tuple[str, ...],
    generator_version: str | None,
    with_key: bool,
    form: str,
) -> None:
    """Print an invented installation with its papers and what there is to decide.

    The same seed gives the same task on every machine, for one version of generator and rules.
    """
    with errors_as(form):
        request = TaskRequest(
            seed=seed,
            level=level,
            archetype=archetype,
            kind=kind_named(kind),
            family=family,
            objectives=objectives,
            generator_version=generator_version,
        )
        task = make_task(request)
    solution = None if task.asks else solution_of(task)
    if form == JSON:
        print_json(task_json(task, weights_of(task, solution), CAUTION, solution=solution, with_key=with_key))
        return
    click.echo("\n".join(task_lines(task)))
    if with_key:
        click.echo("\n".join(key_lines(task, solution.acceptable_count if solution else 1)))


def task_lines(task: Task) -> Iterator[str]:
    """The task for people: title block, story, papers, decisions, caution."""
    yield f"{task.title}"
    yield f"Seed {task.seed}, level {task.level}, archetype {task.archetype}. Edition {task.edition}."
    yield f"Generator {task.generator_version}, rule set {task.rule_set_version}. Everything here is invented."
    yield ""
    yield from _wrapped(task.story)
    for sheet in task.pack:
        yield ""
        yield from _sheet_lines(sheet)
    yield ""
    yield from _asked_lines(task) if task.asks else _decision_lines(task)
    yield ""
    yield from _wrapped(CAUTION)


def _asked_lines(task: Task) -> Iterator[str]:
    yield "TO ANSWER"
    for number, ask in enumerate(task.asks, start=1):
        yield ""
        unit = f" (in {ask.unit})" if ask.unit else ""
        yield from _wrapped(f"{number}. {ask.question}{unit}  [{ask.id}: {ask.form}]")
        for choice in ask.choices:
            yield from _wrapped(f"{choice.id}: {choice.label}", indent=5)
        if ask.partners:
            yield "     to match with"
        for partner in ask.partners:
            yield from _wrapped(f"{partner.id}: {partner.label}", indent=5)


def _decision_lines(task: Task) -> Iterator[str]:
    yield "TO DECIDE"
    for number, decision in enumerate(task.decisions, start=1):
        yield ""
        yield from _wrapped(f"{number}. {decision.question}  [{decision.id}]")
        for option in decision.options:
            yield from _wrapped(f"{option.id}: {option.label}", indent=5)


def _sheet_lines(sheet: Sheet) -> Iterator[str]:
    yield from _wrapped(sheet.title.upper() if not sheet.rows else sheet.title)
    yield "-" * min(_WIDTH, len(sheet.title))
    for row in sheet.rows:
        value = f"{row.value} {row.unit}".strip()
        yield from _wrapped(f"{row.label}: {value}", indent=2)
    for number, note in enumerate(sheet.notes, start=1):
        yield from _wrapped(f"({number}) {note}", indent=2)


def _wrapped(text: str, indent: int = 0) -> list[str]:
    first, rest = " " * indent, " " * (indent + 2 if indent else 0)
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest)


def key_lines(task: Task, acceptable_count: int) -> Iterator[str]:
    """What the generator intended and planted, or the answers to what is asked."""
    yield ""
    if task.asks:
        yield "KEY"
        for ask in task.asks:
            key = task.key.asks[ask.id]
            yield from _wrapped(f"{ask.id}: {told(ask, key.model)}  [{key.model}]", indent=2)
            yield from _wrapped(key.why, indent=4)
            for wrong in key.wrongs:
                yield from _wrapped(f"{told(ask, wrong.answer)} ({wrong.misconception}): {wrong.why}", indent=4)
        return
    yield f"KEY: {acceptable_count} acceptable proposals. One of them:"
    for decision, option in task.key.intended.items():
        yield f"  {decision}: {option}"
    yield from _trap_lines(task)


def _trap_lines(task: Task) -> Iterator[str]:
    """Each trap with its name, the belief behind it and why that is wrong; what a task exercises."""
    data = scenarios()
    yield "Traps:" if task.key.traps else "Traps: none was planted; an honest house"
    for trap in task.key.traps:
        yield f"  {trap.id}: {trap.decision} = {trap.option}, against {trap.rule} ({trap.misconception})"
        known = data.traps.get(trap.id)
        belief = data.misconceptions.get(trap.misconception)
        if known is not None:
            yield from _wrapped(f"{known.name}.", indent=4)
        if belief is not None:
            yield from _wrapped(f"Believed: {belief.statement} {belief.why_wrong}", indent=4)
    yield from _wrapped(f"Exercises {', '.join(sorted(exercised(task)))}.")
