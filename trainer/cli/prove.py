"""``trainer prove``: very many seeds made, checked and compared with each other."""

from __future__ import annotations

import hashlib
import statistics
import sys
import time
from functools import partial
from pathlib import Path

import click
from platformdirs import user_cache_path

from trainer.cli.agree import seed_range
from trainer.cli.workers import highest_memory_mib, jobs_option, pieces_of, worked
from trainer.domain.generator.generate import GENERATOR_VERSION
from trainer.domain.generator.reading import LEVELS
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import TaskKind
from trainer.services.proving.likeness import repeated
from trainer.services.proving.seeds import KINDS, Proof, prove
from trainer.services.proving.state import ProofState

_PIECE = 200
_SHOWN = 50


@click.command(name="prove")
@click.option("--seeds", required=True, metavar="A:B", help="Seeds from A to B, B not included.")
@click.option("--kind", "kinds", multiple=True, type=click.Choice([k.value for k in KINDS]), help="Only these kinds.")
@click.option(
    "--level", "levels", multiple=True, type=click.Choice([str(n) for n in LEVELS]), help="Only these levels."
)
@click.option("--state", type=click.Path(path_type=Path), help="Where to keep what is done; it goes on from there.")
@jobs_option
def command(seeds: str, kinds: tuple[str, ...], levels: tuple[str, ...], state: Path | None, jobs: int) -> None:
    """Prove the tasks of many seeds, the kinds and levels in turn.

    Checked of each: it is made without an error; the intended answer complies with every rule; each
    trap fails by the rule that the key names; no computed value lies on the edge; keys and wrong
    answers are what they say; no two are alike. Stopped and called again it goes on where it was.
    Exit code 0: no failure. 1: some.
    """
    chosen = seed_range(seeds)
    of_kind = tuple(TaskKind(name) for name in kinds) or KINDS
    of_level = tuple(int(name) for name in levels) or LEVELS
    about: dict[str, object] = {
        "seeds": seeds, "kinds": list(of_kind), "levels": list(of_level),
        "generator_version": GENERATOR_VERSION, "rule_set_version": rule_set_version(),
    }  # fmt: skip
    keeper = ProofState(state or _usual_place(about), about)
    failures = _run(chosen, of_kind, of_level, keeper, jobs)
    sys.exit(1 if failures else 0)


def _usual_place(about: dict[str, object]) -> Path:
    """A file of its own for each proof, in the user's cache."""
    name = hashlib.sha256(repr(about).encode()).hexdigest()[:12]
    return user_cache_path("protection-trainer") / f"prove-{str(about['seeds']).replace(':', '-')}-{name}.jsonl"


def _run(seeds: range, kinds: tuple[TaskKind, ...], levels: tuple[int, ...], keeper: ProofState, jobs: int) -> int:
    known = keeper.start()
    total = Proof()
    for proof in known.values():
        _merge(total, proof)
    started, before = time.monotonic(), total.scenarios
    todo = [piece for piece in pieces_of(seeds, _PIECE) if piece.start not in known]
    work = partial(prove, kinds=kinds, levels=levels)
    for piece, proof in worked(work, todo, jobs, "Proving", done=before):
        keeper.add(piece.start, proof)
        _merge(total, proof)
    _tell_rate(total, total.scenarios - before, time.monotonic() - started, keeper.path)
    return _tell(total)


def _merge(total: Proof, piece: Proof) -> None:
    total.scenarios += piece.scenarios
    total.failures += piece.failures
    total.times_ms += piece.times_ms
    for family, packed in piece.prints.items():
        total.prints.setdefault(family, bytearray()).extend(packed)


def _tell_rate(total: Proof, made: int, seconds: float, state: Path) -> None:
    """Rate, time and memory on standard error."""
    if made and total.times_ms:
        median = statistics.median(total.times_ms)
        click.echo(
            f"{made} scenarios in {seconds:.0f} s, {made / max(seconds, 1e-9):.0f} a second; "
            f"median {median:.1f} ms each with its proof; at most {highest_memory_mib():.0f} MiB in a process",
            err=True,
        )
    click.echo(f"State: {state}", err=True)


def _tell(total: Proof) -> int:
    """The failures, then the last line; gives their number."""
    alike = list(repeated(total.prints))
    for failure in total.failures[:_SHOWN]:
        click.echo(str(failure))
    if len(total.failures) > _SHOWN:
        click.echo(f"and {len(total.failures) - _SHOWN} more")
    for line in alike:
        click.echo(line)
    failures = len(total.failures) + len(alike)
    click.echo(f"{total.scenarios} scenarios, {failures} failures")
    return failures
