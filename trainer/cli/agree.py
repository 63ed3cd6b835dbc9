"""``trainer agree``: the rule book compared with the fault walks over many generated houses."""

from __future__ import annotations

import re
import sys

import click

from trainer.cli.output import JSON, errors_as, format_option, print_json
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.generator.request import SEED_END
from trainer.explain.caution import CAUTION
from trainer.services.agreement.comparing import Agreement, compare_seeds

_UNEXPLAINED = 1
_SEEDS = re.compile(r"(\d{1,20}):(\d{1,20})")


@click.command()
@click.option("--seeds", required=True, metavar="A:B", help="Seeds from A to B, B not included.")
@click.option(
    "--proposals",
    type=click.IntRange(1, 100),
    default=4,
    show_default=True,
    help="Proposals for each house: the intended one, the others drawn.",
)
@format_option
def agree(seeds: str, proposals: int, form: str) -> None:
    """Compare the rule book's verdicts on residual current types with those of the fault walks.

    Disagreements that are meant have a name and a reason in docs/agreement.md. Exit code 0: no
    other is left. 1: some are.
    """
    with errors_as(form):
        chosen = seed_range(seeds)
    result = compare_seeds(chosen, proposals)
    if form == JSON:
        print_json(_json(result))
    else:
        click.echo(_text(result))
    sys.exit(_UNEXPLAINED if result.unexplained else 0)


def seed_range(text: str) -> range:
    """The seeds that ``A:B`` names. *Raises* OutOfRangeError."""
    match = _SEEDS.fullmatch(text)
    first, end = (int(match[1]), int(match[2])) if match else (0, 0)
    if first >= end or end > SEED_END:
        problem = f"must be two whole numbers A:B with A below B, B at most {SEED_END}"
        raise OutOfRangeError(Problem(path="seeds", value=text, problem=problem, nearest=f"{first}:{first + 1}"))
    return range(first, end)


def _json(result: Agreement) -> dict[str, object]:
    return {
        "compared": result.compared,
        "agreed": result.agreed,
        "failing": result.failing,
        "open": result.open,
        "explained": dict(result.explained),
        "unexplained": [str(each) for each in result.unexplained],
        "caution": CAUTION,
    }


def _text(result: Agreement) -> str:
    lines = [
        f"{result.agreed} agree; the rule book fails {result.failing} of those compared",
        *(f"{count} explained: {name}" for name, count in sorted(result.explained.items())),
        f"{result.open} not compared: one of the two cannot tell",
        *map(str, result.unexplained),
        "",
        CAUTION,
        "",
        f"{result.compared} verdicts compared, {len(result.unexplained)} unexplained",
    ]
    return "\n".join(lines)
