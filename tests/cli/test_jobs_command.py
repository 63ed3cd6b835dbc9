"""The job runner as the commands start it: a process of its own that comes and goes with them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.patience import PATIENCE_S, until
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.tables.papers import PaperRow


def processes(folder: Path, *words: str) -> list[int]:
    """The processes whose command line names the folder and the words (proc(5))."""
    found = []
    for place in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            line = place.read_bytes().decode(errors="replace").split("\0")
        except OSError:
            continue
        if str(folder) in line and all(word in line for word in words):
            found.append(int(place.parent.name))
    return found


@contextmanager
def demo(*options: str) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-m", "trainer", "demo", "--port", "0", *options]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline().startswith("Serving on ")
    try:
        yield process
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    with demo("--empty", "--data", str(tmp_path)) as process:
        yield process


def trainer(*arguments: str, folder: Path) -> str:
    command = [sys.executable, "-m", "trainer", *arguments, "--data", str(folder)]
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=PATIENCE_S).stdout


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="looks for processes where Linux lists them")
def test_demo_starts_a_runner_of_its_own_and_takes_it_along_when_it_ends(
    served: subprocess.Popen[str], tmp_path: Path
) -> None:
    until(lambda: processes(tmp_path, "jobs", "run"), "a runner")
    served.send_signal(signal.SIGTERM)
    assert served.wait(PATIENCE_S) == 0
    until(lambda: not processes(tmp_path), "the end of the runner")


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="looks for processes where Linux lists them")
def test_a_runner_that_is_killed_is_started_again_and_one_whose_server_is_killed_ends(
    served: subprocess.Popen[str], tmp_path: Path
) -> None:
    until(lambda: processes(tmp_path, "jobs", "run"), "a runner")
    first = processes(tmp_path, "jobs", "run")
    os.kill(first[0], signal.SIGKILL)
    until(lambda: (now := processes(tmp_path, "jobs", "run")) and now != first, "another runner")
    served.send_signal(signal.SIGKILL)
    served.wait()
    until(lambda: not processes(tmp_path), "the end of the runner")


@pytest.mark.parametrize("command", [("trainer.cli.job_process",), ("trainer", "jobs", "run", "--with-parent")])
def test_what_was_started_by_somebody_who_is_gone_before_it_looks_ends_too(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    """POSIX.1-2017, _Exit(): children that are left get another parent; here before they ask for the first."""
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        gone.wait()
    words = [sys.executable, "-m", *command, str(gone.pid), "--data", str(tmp_path)]
    assert subprocess.run(words, check=False, timeout=PATIENCE_S).returncode == 0


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="looks for processes where Linux lists them")
def test_no_runner_ends_the_sittings_of_weeks_ago_while_they_are_invented(tmp_path: Path) -> None:
    with demo("--data", str(tmp_path)):
        until(lambda: processes(tmp_path, "jobs", "run"), "a runner")
        assert processes(tmp_path, "invent") == []
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    with database.reading() as session:
        states = session.scalars(select(PaperRow.state)).all()
    database.close()
    assert "released" in states


def test_a_runner_alone_does_what_waits_and_ends_where_it_is_told_to_do_it_once(tmp_path: Path) -> None:
    assert trainer("jobs", "run", "--once", folder=tmp_path) == ""
    assert trainer("jobs", "list", folder=tmp_path) == "Nothing waits.\n"
    assert json.loads(trainer("jobs", "list", "--format", "json", folder=tmp_path)) == {"jobs": []}
