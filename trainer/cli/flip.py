"""``trainer flip``: one value of an installation moved, to see which findings flip and where."""

from __future__ import annotations

import click

from trainer.cli.output import JSON, errors_as, format_option, input_bytes, print_json
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.explain.caution import CAUTION
from trainer.explain.trying_words import at, sweep_report
from trainer.interop.documents import BYTES_MAXIMUM
from trainer.interop.installations import read_installation
from trainer.interop.trying_json import places_json, sweep_json
from trainer.services.rulebook.rules import rule_of
from trainer.services.trying.installations import house_of_seed
from trainer.services.trying.moving import sweep
from trainer.services.trying.places import Place, place_of, places
from trainer.services.trying.values import asked_values


class FlipUseError(TrainerError):
    """A call that does not say what is to be moved."""


@click.command()
@click.argument("file", metavar="[FILE]", required=False)
@click.option("--seed", type=int, metavar="N", help="Instead of FILE: the house that this seed makes.")
@click.option("--level", type=int, default=1, show_default=True, metavar="L", help="Level of the seed's house.")
@click.option("--vary", metavar="PATH=VALUES", help="What moves: PATH=FROM:TO:STEP, PATH=A,B,C, or PATH alone.")
@click.option("--rule", "rule_ids", multiple=True, metavar="ID", help="Only this rule; may be given several times.")
@click.option("--places", "listed", is_flag=True, help="List the values that can be moved, with their units, and end.")
@click.option("--edition", type=click.Choice([each.value for each in Edition]), help="Edition to judge under.")
@format_option
def flip(
    file: str | None,
    seed: int | None,
    level: int,
    vary: str | None,
    rule_ids: tuple[str, ...],
    listed: bool,
    edition: str | None,
    form: str,
) -> None:
    r"""Move one value of the installation in FILE and show which findings flip, and exactly where.

    FILE is TOML or JSON (- for standard input), as for `trainer check`. Between two numbers the place
    of a flip is found to the finest step of the unit.

    \b
    trainer flip house.toml --places
    trainer flip house.toml --vary circuits.charger.cable.length_m=5:60:5 --rule OC-08
    """
    with errors_as(form):
        house, judged_under = _house(file, seed, level)
        if listed:
            _list(places(house), form)
            return
        if vary is None:
            problem = "missing: name what moves as PATH=FROM:TO:STEP; --places lists the paths"
            raise FlipUseError(Problem(path="--vary", problem=problem))
        path, _, text = vary.partition("=")
        place = place_of(house, path.strip())
        values = asked_values(house, place, text)
        result = sweep(house, place, values, _rules(rule_ids), Edition(edition) if edition else judged_under)
    if form == JSON:
        print_json(sweep_json(result, CAUTION))
    else:
        click.echo(sweep_report(result), nl=False)


def _house(file: str | None, seed: int | None, level: int) -> tuple[Installation, Edition]:
    if (file is None) == (seed is None):
        problem = "name either a file, - for standard input, or a --seed"
        raise FlipUseError(Problem(path="FILE", value=file, problem=problem))
    if seed is not None:
        return house_of_seed(seed, level)
    read = read_installation(input_bytes(str(file), BYTES_MAXIMUM))
    return read.installation, read.edition


def _rules(ids: tuple[str, ...]) -> tuple[Rule, ...]:
    return tuple(dict.fromkeys(rule_of(each) for each in ids)) or ALL_RULES


def _list(found: tuple[Place, ...], form: str) -> None:
    if form == JSON:
        print_json(places_json(found))
        return
    for each in found:
        choices = f"  [{', '.join(each.choices)}]" if each.choices else ""
        click.echo(f"{each.path}: {at(each, each.value)}{choices}")
    click.echo(f"{len(found)} values can be moved.", err=True)
