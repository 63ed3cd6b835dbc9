"""Runners as processes of their own, several at once, killed in the middle.

SIGKILL lets a program do nothing more (POSIX.1-2017, signal.h), so what is found afterwards was
durable before.
"""

from __future__ import annotations

import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.conftest import ROOT
from tests.patience import PATIENCE_S, until
from tests.persistence.jobs.test_running import add, names, row
from tests.services.jobs.world import job
from trainer.persistence.database import Database
from trainer.persistence.tables.operation import JobRow

# A runner on a busy machine may come late to its signs of life: only who waits for the end of a lease has a short one.
LONG_S, SHORT_S = 60.0, 1.5

RUNNER = """
import sys, time, signal, threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from tests.services.jobs.world import KIND, Writing, scopes_of
from trainer.persistence.database import Database
from trainer.services.jobs.running import Runner
from trainer.web.wiring import random_id
stop = threading.Event()
signal.signal(signal.SIGTERM, lambda *_: stop.set())
halt = int(sys.argv[6])
work = Writing(Path(sys.argv[3]), takes_s=float(sys.argv[4]), meanwhile=lambda part: part == halt and time.sleep(3600))
runner = Runner(
    storage=scopes_of(Database(sys.argv[2])), works={KIND: work}, now=lambda: datetime.now(UTC),
    new_id=random_id, lease=timedelta(seconds=float(sys.argv[5])), stop=stop,
)
print("ready", flush=True)
while not stop.is_set():
    if not runner.step():
        stop.wait(0.05)
"""


class Runners:
    """Runner processes over one database."""

    def __init__(self, database: Database, diary: Path) -> None:
        self.address = database._url.render_as_string(hide_password=False)
        self.diary = diary
        self.all: list[subprocess.Popen[str]] = []

    def start(self, takes_s: float = 0.2, lease_s: float = LONG_S, halts_at: int = 0) -> subprocess.Popen[str]:
        command = [sys.executable, "-c", RUNNER, str(ROOT), self.address, str(self.diary)]
        command += [str(takes_s), str(lease_s), str(halts_at)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        self.all.append(process)
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        return process

    @property
    def begun(self) -> list[str]:
        return self.diary.read_text().splitlines() if self.diary.exists() else []

    def end(self) -> None:
        for each in self.all:
            each.kill()
            each.wait()
            assert each.stdout is not None
            each.stdout.close()


@pytest.fixture
def runners(database: Database, tmp_path: Path) -> Iterator[Runners]:
    made = Runners(database, tmp_path / "diary")
    yield made
    made.end()


def test_a_runner_killed_in_the_middle_loses_only_the_part_that_it_was_at(database: Database, runners: Runners) -> None:
    add(database, job(parts=6))
    first = runners.start(takes_s=0.0, lease_s=SHORT_S, halts_at=3)
    until(lambda: len(runners.begun) == 3, "the third part")
    first.send_signal(signal.SIGKILL)
    first.wait()
    kept = row(database).progress_done
    assert kept == 2
    assert row(database).state == "running"
    before = len(runners.begun)
    runners.start(takes_s=0.0, lease_s=SHORT_S)
    until(lambda: row(database).state == "done", "the end of the job")
    # It goes on with the first part that was not kept.
    assert [each.split()[1] for each in runners.begun[before:]] == [str(number) for number in range(kept + 1, 7)]
    assert names(database) == ["all"]


def test_a_runner_that_lives_keeps_a_job_through_a_part_longer_than_the_lease(
    database: Database, runners: Runners
) -> None:
    add(database, job(parts=1))
    # Four signs of life in a lease: the next comes a second late before anybody takes the job away.
    lease_s = 4.0
    runners.start(takes_s=2.5 * lease_s, lease_s=lease_s)
    until(lambda: len(runners.begun) == 1, "the part")
    runners.start(takes_s=0.0, lease_s=lease_s)
    until(lambda: row(database).state == "done", "the end of the job")
    assert runners.begun == ["job-1 1"]


def test_many_runners_do_every_part_of_every_job_exactly_once(database: Database, runners: Runners) -> None:
    jobs = [job(f"job-{number:02}", parts=3) for number in range(12)]
    add(database, *jobs)
    for _ in range(4):
        runners.start(takes_s=0.02)

    def all_done() -> bool:
        with database.reading() as session:
            return set(session.scalars(select(JobRow.state))) == {"done"}

    until(all_done, "the end of all jobs")
    assert set(Counter(runners.begun).values()) == {1}
    assert len(runners.begun) == 36


def test_a_runner_told_to_stop_finishes_its_part_and_leaves_at_once(database: Database, runners: Runners) -> None:
    add(database, job(parts=50))
    first = runners.start(takes_s=0.3)
    until(lambda: len(runners.begun) >= 2, "the second part")
    first.send_signal(signal.SIGTERM)
    assert first.wait(PATIENCE_S) == 0
    left = row(database)
    assert left.state == "queued"
    assert left.progress_done == len(runners.begun)
