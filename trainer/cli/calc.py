"""``trainer calc``: one calculation, with its formula, its values and where each comes from."""

from __future__ import annotations

from collections.abc import Mapping

import click

from trainer.cli.output import JSON, TEXT, errors_as, format_option, print_json
from trainer.domain.calculations.catalogue import (
    CATALOGUE,
    Calculation,
    Result,
    SourcedTerm,
    calculate,
    calculation_of,
)
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, Outcome
from trainer.explain.caution import CAUTION
from trainer.interop.calculations_json import calculation_json, catalogue_json


def _list(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if not wanted or context.resilient_parsing:
        return
    if context.params.get("form", TEXT) == JSON:
        print_json(catalogue_json())
    else:
        for each in CATALOGUE.values():
            click.echo(f"{each.name:16} {each.title}")
            click.echo(f"{'':16} {each.formula}")
        click.echo("trainer calc NAME --help tells the parameters of one.")
    context.exit()


class Calculations(click.Group):
    """One subcommand for each calculation of the catalogue, its options made from its parameters."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of all calculations."""
        return list(CATALOGUE)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of one calculation; an unknown name is answered with the nearest one."""
        form = ctx.params.get("form", TEXT)
        with errors_as(form):
            return _command(calculation_of(cmd_name))


def _command(calculation: Calculation) -> click.Command:
    options: list[click.Parameter] = []
    for each in calculation.parameters:
        names = dict.fromkeys((f"--{each.short}", f"--{each.name.replace('_', '-')}"))
        note = f"{each.label}{f' [{each.unit}]' if each.unit else ''}"
        metavar = "KIND=NUMBER" if each.many else "|".join(each.choices) if each.choices else "NUMBER"
        options.append(
            click.Option([*names, each.name], help=note, metavar=metavar, multiple=each.many, show_default=False)
        )
    options.append(
        click.Option(
            ["--edition"],
            type=click.Choice([each.value for each in Edition]),
            default=DEFAULT_EDITION.value,
            show_default=True,
            help="edition whose limits count",
        )
    )
    command = click.Command(
        calculation.name,
        params=options,
        callback=lambda **given: _run(calculation, given),
        help=f"{calculation.title}.\n\n\b\n{calculation.formula}",
    )
    return format_option(command)


def _run(calculation: Calculation, given: Mapping[str, object]) -> None:
    form, edition = str(given["form"]), Edition(str(given["edition"]))
    texts: dict[str, str | tuple[str, ...]] = {}
    for each in calculation.parameters:
        text = given[each.name]
        if isinstance(text, str | tuple):
            texts[each.name] = text
    with errors_as(form):
        result = calculate(calculation.name, texts, edition)
    if form == JSON:
        print_json(calculation_json(calculation, result, edition, CAUTION))
    else:
        click.echo(_text(calculation, result, edition))


def _text(calculation: Calculation, result: Result, edition: Edition) -> str:
    lines = [calculation.title, f"  {calculation.formula}", *(_term(term) for term in result.terms)]
    lines.append(f"= {result.value:.6g} {result.unit}")
    if result.limit is not None and result.outcome is not None:
        said = "advice, investigate" if result.outcome is Outcome.ADVICE else result.outcome.value.replace("_", " ")
        lines.append(f"  compared with {result.limit:.6g} {result.unit}: {said}")
    citation = result.citation
    lines.append(f"  {citation.publication}, {citation.clause} ({citation.status.value})")
    if citation.compare_with_current_book(edition):
        lines.append(f"  Number as in {citation.edition}: compare with the current book.")
    lines.append(f"  {CAUTION}")
    return "\n".join(lines)


def _term(term: SourcedTerm) -> str:
    amount = f"{term.value:.6g} {term.unit}".rstrip()
    return f"  {term.name.replace('_', ' ')}: {amount}  [{term.source}]"


@click.group(cls=Calculations)
@click.option(
    "--format",
    "form",
    type=click.Choice([TEXT, JSON]),
    default=TEXT,
    is_eager=True,
    help="for --list and for an unknown name",
)
@click.option("--list", is_flag=True, callback=_list, expose_value=False, help="list all calculations and end")
def calc(form: str) -> None:
    """Make one calculation, with its formula, its values and their sources."""
