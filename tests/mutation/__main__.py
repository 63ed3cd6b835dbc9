"""`python -m tests.mutation [MODULE ...]`: changes a module in memory, one change at a time, and runs the tests.

Nothing is written into the checkout. A run that was stopped goes on where it stopped when it gets the same folder.
"""

from __future__ import annotations

import os
import random
import re
import resource
import subprocess
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import click

from tests.mutation import anew, which_tests
from tests.mutation.changes import Change, changed, changes
from tests.mutation.children import in_a_child
from tests.mutation.reasons import gone
from tests.mutation.report import HEAD, figures, survivors
from tests.mutation.results import Results

ROOT = Path(__file__).resolve().parents[2]
DEFAULT = ("trainer/domain/rules/*.py", "trainer/domain/findings.py", "trainer/domain/limits/loading.py")
# The whole of a group, as a bound only.
GROUP_S = 24 * 3600
OPTIONS = (
    *("-q", "-s", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib --benchmark-disable"),
    "--continue-on-collection-errors",
)


def _rows_since(commit: str, module: str) -> set[int]:
    """The rows of a module that are not as they were at a commit."""
    diff = subprocess.run(["git", "diff", "-U0", commit, "--", module], check=True, capture_output=True, text=True)
    parts = re.findall(r"^@@ -\S+ \+(\d+)(?:,(\d+))? @@", diff.stdout, re.MULTILINE)
    return {row for first, count in parts for row in range(int(first), int(first) + int(count or 1))}


def _chosen(module: str, share: float, seed: int, since: str | None) -> list[Change]:
    """All changes of a module, or those of rows that changed, or a share of them, drawn by lot."""
    found = changes(module, (ROOT / module).read_text("utf-8"))
    if since:
        rows = _rows_since(since, module)
        found = [each for each in found if rows & set(range(each.first_row, each.last_row + 1))]
    drawn = set(random.Random(seed).sample(range(len(found)), round(share * len(found))))
    return [each for n, each in enumerate(found) if n in drawn]


def _waiting(folder: Path, module: str, chosen: Sequence[Change], again: bool) -> list[Change]:
    """The changes that were not tried yet, and with ``again`` those that no test noticed."""
    known = Results(folder, ROOT / module, module).outcomes()
    asked = {None, "survived"} if again else {None}
    return [each for each in chosen if known.get(each.key) in asked]


def _try_loaded(folder: Path, todo: dict[str, Sequence[Change]], tests: Sequence[str], most_s: float) -> bool:
    """Try the changes of modules that share their tests; runs in a child, which loads the product."""
    import pytest

    from tests.mutation.trying import Trying

    trying = Trying(ROOT, todo, folder, tests, most_s)
    with trying.trace.on():
        code = pytest.main([*OPTIONS, *tests], plugins=[trying])
    return code in {pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED}


def _try_anew(folder: Path, module: str, chosen: Sequence[Change], tests: Sequence[str]) -> None:
    """Try what can be seen at import only, each in a child that imports everything."""
    results = Results(folder, ROOT / module, module)
    known, source = results.outcomes(), (ROOT / module).read_text("utf-8")
    for change in chosen:
        if known.get(change.key) == "anew":
            after = changed(source, change)
            results.add(change, anew.outcome(ROOT, module, after, tests), 1, source, after)


def _try(folder: Path, chosen: dict[str, list[Change]], again: bool, own: bool, loaded: bool, most_s: float) -> None:
    groups: dict[tuple[str, ...], dict[str, Sequence[Change]]] = defaultdict(dict)
    for module, found in chosen.items():
        waiting = _waiting(folder, module, found, again)
        if waiting:
            groups[which_tests.files(module, own=own)][module] = waiting
    for tests, todo in groups.items():
        click.echo(f"{sum(map(len, todo.values()))} changes by {', '.join(tests)}", err=True)
        if in_a_child(lambda tests=tests, todo=todo: _try_loaded(folder, todo, tests, most_s), GROUP_S):  # type: ignore[misc]
            raise click.ClickException(f"the tests in {', '.join(tests)} cannot be run; MUTATION_TALKS=1 shows why")
    if not loaded:
        for module, found in chosen.items():
            _try_anew(folder, module, found, which_tests.files(module, own=own))


@click.command()
@click.option("--folder", type=click.Path(path_type=Path), required=True, help="Where the results go.")
@click.option("--share", default=1.0, help="Try this share of the changes, drawn by lot.")
@click.option("--seed", default=7671, help="The seed of the lot.")
@click.option("--since", metavar="COMMIT", help="Try only what was written since a commit.")
@click.option("--again", is_flag=True, help="Try once more what no test noticed, after tests were written.")
@click.option("--own", is_flag=True, help="Run only the tests that are named after the module.")
@click.option("--loaded", is_flag=True, help="Leave out what shows only when a module is imported, which is slow.")
@click.option("--most", "most_s", default=60.0, help="Run tests of so many seconds for one change, short first.")
@click.argument("modules", nargs=-1)
def main(
    folder: Path,
    share: float,
    seed: int,
    since: str | None,
    again: bool,
    own: bool,
    loaded: bool,
    most_s: float,
    modules: tuple[str, ...],
) -> None:
    """Try all changes of the rule modules (or of MODULES) and list those that no test notices."""
    os.chdir(ROOT)
    os.environ |= {"TRAINER_TEST_DATABASE": "sqlite", "OPENBLAS_NUM_THREADS": "1"}
    folder = folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    names = modules or tuple(str(f.relative_to(ROOT)) for p in DEFAULT for f in sorted(ROOT.glob(p)))
    chosen = {name: _chosen(name, share, seed, since) for name in names}
    _try(folder, chosen, again, own, loaded, most_s)
    tried = [each for name in names for each in Results(folder, ROOT / name, name).mutants(name, chosen[name])]
    click.echo(HEAD)
    for name in names:
        found = [each for each in tried if each.module == name]
        if found:
            click.echo(figures(f"`{name.removeprefix('trainer/').removeprefix('domain/')}`", found))
    click.echo(figures("together", tried))
    click.echo(survivors(tried))
    for module, before, _ in gone(ROOT, names):
        click.echo(f"reasons.toml speaks of a line that {module} no longer has: {before}")
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    click.echo(f"{sum(each.ru_utime + each.ru_stime for each in used):.0f} s of a processor", err=True)


if __name__ == "__main__":
    main()
