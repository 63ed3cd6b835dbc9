"""``trainer report``: what many seeds have in common, and what they leave out."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import partial

import click

from trainer.cli.agree import seed_range
from trainer.cli.output import JSON, errors_as, format_option, print_json
from trainer.cli.workers import jobs_option, pieces_of, worked
from trainer.domain.errors import UnknownNameError, unknown
from trainer.domain.generator.reading import LEVELS
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import TaskKind
from trainer.services.objectives import objectives
from trainer.services.proving.coverage import Coverage, covered
from trainer.services.proving.difficulty import (
    WITHIN_PERCENT,
    Family,
    Sample,
    Spread,
    merge,
    sampled,
    spreads,
    too_wide,
    words_to_aim_at,
)
from trainer.services.proving.seeds import KINDS
from trainer.services.scenarios import scenarios

_PIECE = 20

seeds_option = click.option(
    "--seeds", default="0:1000", show_default=True, metavar="A:B", help="Seeds from A to B, B not included."
)
level_option = click.option(
    "--level", "levels", multiple=True, type=click.Choice([str(n) for n in LEVELS]), help="Only these levels."
)


@click.group()
def report() -> None:
    """What many generated tasks have in common, and what they leave out."""


@report.command()
@seeds_option
@click.option("--archetype", "archetypes", multiple=True, metavar="A", help="Only these archetypes.")
@level_option
@jobs_option
@format_option
def difficulty(seeds: str, archetypes: tuple[str, ...], levels: tuple[str, ...], jobs: int, form: str) -> None:
    """The spread of what makes a task hard, for each archetype and level.

    Exit code 0: the words to read of each family lie within 15 % of each other. 1: some do not.
    """
    with errors_as(form):
        chosen = seed_range(seeds)
        families = _families(archetypes, levels)
    sample: Sample = {}
    work = partial(sampled, families=families)
    for _, piece in worked(work, pieces_of(chosen, _PIECE), jobs, "Measuring"):
        merge(sample, piece)
    found = dict(spreads(sample))
    wide = [family for family, by_name in found.items() if too_wide(by_name)]
    if form == JSON:
        print_json([_family_json(family, by_name) for family, by_name in found.items()])
    else:
        click.echo("\n".join(_difficulty_lines(found, wide)))
    sys.exit(1 if wide else 0)


def _families(archetypes: tuple[str, ...], levels: tuple[str, ...]) -> tuple[Family, ...]:
    known = scenarios().archetypes
    for name in archetypes:
        if name not in known:
            raise UnknownNameError(unknown("archetype", name, known, "archetype"))
    of_level = {int(level) for level in levels} or set(LEVELS)
    return tuple(
        (each.id, level)
        for each in known.values()
        if not archetypes or each.id in archetypes
        for level in each.levels
        if level in of_level
    )


def _difficulty_lines(found: dict[Family, dict[str, Spread]], wide: list[Family]) -> Iterator[str]:
    for (archetype, level), by_name in found.items():
        yield f"{archetype}, level {level}"
        yield f"  {'':16}{'least':>8}{'5 %':>8}{'middle':>8}{'95 %':>8}{'largest':>8}   from least to largest"
        for name, each in by_name.items():
            numbers = (each.least, each.fifth, each.median, each.ninety_fifth, each.largest)
            yield f"  {name:16}" + "".join(f"{number:8g}" for number in numbers) + f"   {each.width_percent:g} %"
    for archetype, level in wide:
        yield f"{archetype}, level {level}: the words to read differ by more than {WITHIN_PERCENT:g} %"
    for archetype in dict.fromkeys(name for name, _ in wide):
        aims = (f"{level} = {words_to_aim_at(found[name, level])}" for name, level in wide if name == archetype)
        yield f"{archetype}: alike with words = {{ {', '.join(aims)} }} in its file"
    yield f"{len(found)} families, {len(wide)} with papers of unequal length"


def _family_json(family: Family, by_name: dict[str, Spread]) -> dict[str, object]:
    return {
        "archetype": family[0],
        "level": family[1],
        "features": {
            name: {
                "least": each.least, "median": each.median, "largest": each.largest,
                "width_percent": each.width_percent,
            }
            for name, each in by_name.items()
        },
    }  # fmt: skip


@report.command()
@seeds_option
@click.option("--kind", "kinds", multiple=True, type=click.Choice([k.value for k in KINDS]), help="Only these kinds.")
@level_option
@jobs_option
@format_option
def coverage(seeds: str, kinds: tuple[str, ...], levels: tuple[str, ...], jobs: int, form: str) -> None:
    """How often objectives, rules and traps are exercised.

    Exit code 0: none is left out that these kinds can exercise. 1: some are.
    """
    with errors_as(form):
        chosen = seed_range(seeds)
    of_kind = tuple(TaskKind(name) for name in kinds) or KINDS
    of_level = tuple(int(level) for level in levels) or LEVELS
    total = Coverage()
    work = partial(covered, kinds=of_kind, levels=of_level)
    for _, piece in worked(work, pieces_of(chosen, _PIECE), jobs, "Counting"):
        total.merge(piece)
    missing = [*total.objectives_at_zero, *total.traps_at_zero]
    if form == JSON:
        print_json(_coverage_json(total))
    else:
        click.echo("\n".join(_coverage_lines(total)))
    sys.exit(1 if missing else 0)


def _coverage_lines(total: Coverage) -> Iterator[str]:
    kinds = sorted(total.tasks)
    yield f"{'OBJECTIVES':12}" + "".join(f"{kind:>10}" for kind in kinds)
    for one, words in objectives().items():
        counts = "".join(f"{total.objectives[kind][one]:10}" for kind in kinds)
        yield f"{one:12}{counts}  {words}"
    yield ""
    yield f"{'RULES':12}{'in play':>10}{'decides':>10}"
    for rule in ALL_RULES:
        yield f"{rule.id:12}{total.in_play[rule.id]:10}{total.decides[rule.id]:10}"
    yield ""
    yield "TRAPS"
    for trap in scenarios().traps.values():
        yield f"{total.traps[trap.id]:8}  {trap.id}: {trap.name}"
    yield ""
    yield f"Left out though these kinds can: {', '.join(total.objectives_at_zero) or 'no objective'}"
    yield f"Left to inspections, measurements and questions: {', '.join(total.objectives_left_to_others)}"
    yield f"Traps never planted: {', '.join(total.traps_at_zero) or 'none'}"
    yield f"Rules that never judged anything: {', '.join(total.rules_never_seen) or 'none'}"
    yield f"{sum(total.tasks.values())} tasks, {len(total.objectives_at_zero) + len(total.traps_at_zero)} left out"


def _coverage_json(total: Coverage) -> dict[str, object]:
    return {
        "tasks": dict(total.tasks),
        "objectives": {kind: dict(counts) for kind, counts in total.objectives.items()},
        "rules": {
            rule.id: {"in_play": total.in_play[rule.id], "decides": total.decides[rule.id]} for rule in ALL_RULES
        },
        "traps": {trap: total.traps[trap] for trap in scenarios().traps},
        "left_out": [*total.objectives_at_zero, *total.traps_at_zero],
    }
