"""`python -m tests.mutation [MODULE ...]`: mutation testing of the rules with cosmic-ray, in a clone.

Cosmic-ray writes each change into the file itself; so the work is done in a clone of what is committed, never in
the checkout. A run that was stopped goes on where it stopped when it gets the same folder again.
"""

from __future__ import annotations

import compileall
import os
import py_compile
import random
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import click

from tests.mutation.report import figures, mutants, survivors

ROOT = Path(__file__).resolve().parents[2]
DEFAULT = ("trainer/domain/rules/*.py", "trainer/domain/findings.py", "trainer/domain/limits/loading.py")
TIMEOUT_S = 30

CONFIGURATION = """\
[cosmic-ray]
module-path = "{module}"
timeout = {timeout}
excluded-modules = []
test-command = "{python} -m tests.mutation.run_tests {module}"

[cosmic-ray.distributor]
name = "local"

[cosmic-ray.filters.operators-filter]
# In these files | stands between types only, and those are not evaluated.
exclude-operators = ["core/ReplaceBinaryOperator_BitOr_.*"]
"""


def _tool(name: str) -> str:
    """The path of a program that comes with cosmic-ray."""
    beside = str(Path(sys.executable).parent)
    found = shutil.which(name, path=os.pathsep.join((beside, os.environ.get("PATH", ""))))
    if found is None:
        raise click.ClickException(f"{name} is not installed: .venv/bin/pip install -e '.[test,mutation]'")
    return found


def _clone(folder: Path) -> Path:
    """A clone of what is committed, compiled so that Python notices a change by content, not by time."""
    clone = folder / "clone"
    if not clone.exists():
        subprocess.run(["git", "clone", "-q", str(ROOT), str(clone)], check=True)
    subprocess.run(["git", "checkout", "-q", "--", "trainer"], cwd=clone, check=True)
    for part in ("trainer", "tests"):
        compileall.compile_dir(clone / part, quiet=1, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH)
    return clone


def _leave_out(session: Path, share: float, seed: int) -> None:
    """Mark all changes but a share, drawn by lot, as not to be tried."""
    with closing(sqlite3.connect(session)) as connection, connection:
        waiting = "SELECT job_id, module_path, occurrence, operator_name FROM mutation_specs WHERE job_id NOT IN"
        rows = connection.execute(f"{waiting} (SELECT job_id FROM work_results)").fetchall()
        # The ids are new in each session; the order of what they stand for is not.
        ids = [row[0] for row in sorted(rows, key=lambda row: row[1:])]
        chosen = set(random.Random(seed).sample(ids, round(share * len(ids))))
        skipped = [(each,) for each in ids if each not in chosen]
        connection.executemany("INSERT INTO work_results (worker_outcome, job_id) VALUES ('SKIPPED', ?)", skipped)


def _session(clone: Path, folder: Path, module: str, share: float, seed: int) -> Path:
    """The changes of one module tried; the database of what came out."""
    name = module.replace("/", ".").removesuffix(".py")
    configuration, session = folder / f"{name}.toml", folder / f"{name}.sqlite"
    configuration.write_text(CONFIGURATION.format(module=module, timeout=TIMEOUT_S, python=sys.executable), "utf-8")
    environment = {**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1", "PYTHONPATH": ""}
    arguments = [str(configuration), str(session)]
    unchanged = [sys.executable, "-m", "tests.mutation.run_tests", module]
    if subprocess.run(unchanged, cwd=clone, check=False, env=environment, stdout=subprocess.DEVNULL).returncode:
        raise click.ClickException(f"{module}: the tests fail without any change; mend that first")
    if not session.exists():
        subprocess.run([_tool("cosmic-ray"), "init", *arguments], cwd=clone, check=True)
        subprocess.run([_tool("cr-filter-operators"), *reversed(arguments)], cwd=clone, check=True)
        _leave_out(session, share, seed)
    subprocess.run([_tool("cosmic-ray"), "exec", *arguments], cwd=clone, check=True, env=environment)
    return session


@click.command()
@click.option("--folder", type=click.Path(path_type=Path), required=True, help="Where the clone and results go.")
@click.option("--share", default=1.0, help="Try this share of the changes, drawn by lot.")
@click.option("--seed", default=7671, help="The seed of the lot.")
@click.argument("modules", nargs=-1)
def main(folder: Path, share: float, seed: int, modules: tuple[str, ...]) -> None:
    """Try all changes of the rule modules (or of MODULES) and list those that no test notices."""
    folder = folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    clone = _clone(folder)
    chosen = modules or tuple(str(f.relative_to(clone)) for p in DEFAULT for f in sorted(clone.glob(p)))
    tried = []
    for module in chosen:
        found = mutants(_session(clone, folder, module, share, seed))
        click.echo(figures(module, found), err=True)
        tried.extend(found)
    click.echo("| module | changes | noticed | share | same in other words | left |\n|---|---|---|---|---|---|")
    for module in chosen:
        click.echo(figures(module, [each for each in tried if each.module == module]))
    click.echo(figures("together", tried))
    click.echo(survivors(tried))


if __name__ == "__main__":
    main()
