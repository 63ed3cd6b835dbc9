"""Several workers of a server at once: fifty starts make one attempt, fifty submissions one grading."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.services.sittings.world import PAPER, World, here
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.sittings import GradingRow, SittingRow
from trainer.services.sittings import finishing
from trainer.services.sittings.starting import Starting

PROCESSES, EACH = 5, 10

WORKER = """
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from tests.services.sittings.world import PAPER, Clock, World, here
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.starting import Starting
address, name, each = sys.argv[1], sys.argv[2], int(sys.argv[3])
database = Database(address)
world = World(SqlStorage(database), ids=iter(f"{name}-{n}" for n in range(1000)))
with ThreadPoolExecutor(each) as pool:
    ids = set(pool.map(lambda _: world.desk(Starting).start(here(), PAPER, 1, "").id, range(each)))
    (sitting,) = ids
    list(pool.map(lambda _: world.desk(Finishing).hand_in(here(), sitting), range(each)))
database.close()
print(sitting)
"""


def test_fifty_starts_and_submissions_from_five_processes_make_one_of_each(world: World, root: Path) -> None:
    address = world.storage.database.address.render_as_string(hide_password=False)
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", WORKER, address, f"worker{number}", str(EACH)],
            cwd=root,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(PROCESSES)
    ]
    told = [worker.communicate() for worker in workers]
    assert [complaint for _, complaint in told] == [""] * PROCESSES
    assert len({said.strip() for said, _ in told}) == 1
    assert len(world.rows(SittingRow)) == 1
    assert [row.number for row in world.rows(GradingRow)] == [1]
    actions = [row.action for row in world.rows(AuditRow)]
    assert {each: actions.count(each) for each in set(actions)} == {
        "sitting.started": 1,
        "sitting.handed_in": 1,
        "sitting.graded": 1,
    }


LONG = """
import sys
from concurrent.futures import ThreadPoolExecutor
from tests.services.sittings.world import World, here
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.services.sittings import finishing
address, name, sitting = sys.argv[1], sys.argv[2], sys.argv[3]
finishing.MOST_MARKED_AT_ONCE = 0
database = Database(address)
world = World(SqlStorage(database), ids=iter(f"{name}-{n}" for n in range(1000)))
desk = world.desk(finishing.Finishing)
with ThreadPoolExecutor(11) as pool:
    runner = pool.submit(desk.close_due, order=name)
    list(pool.map(lambda _: desk.hand_in(here(), sitting), range(10)))
    runner.result()
desk.close_due(order=name)
database.close()
"""


def test_a_long_paper_that_fifty_hand_in_and_five_runners_mark_has_one_grading(world: World, root: Path) -> None:
    """As the pages and the runners of several machines do it: the pages hand in, the runners mark."""
    sitting = world.desk(Starting).start(here(), PAPER, 1, "").id
    address = world.storage.database.address.render_as_string(hide_password=False)
    command = [sys.executable, "-c", LONG, address]
    workers = [
        subprocess.Popen([*command, f"worker{number}", sitting], cwd=root, stderr=subprocess.PIPE, text=True)
        for number in range(PROCESSES)
    ]
    assert [worker.communicate()[1] for worker in workers] == [""] * PROCESSES
    assert [row.number for row in world.rows(GradingRow)] == [1]
    actions = [row.action for row in world.rows(AuditRow)]
    assert sorted(actions) == ["sitting.graded", "sitting.handed_in", "sitting.started"]


def test_handing_in_a_long_paper_leaves_the_marking_to_the_runner_or_to_a_later_look(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    sitting = world.desk(Starting).start(here(), PAPER, 1, "")
    monkeypatch.setattr(finishing, "MOST_MARKED_AT_ONCE", 3)
    handed_in = world.desk(finishing.Finishing).hand_in(here(), sitting.id)
    assert handed_in.handed_in_at is not None
    assert handed_in.grading_number is None
    # Somebody's look within the first seconds leaves it to whoever is at it; a later one does it.
    assert world.desk(finishing.Finishing).caught_up(handed_in).grading_number is None
    world.clock.pass_by(seconds=21)
    assert world.desk(finishing.Finishing).caught_up(handed_in).grading_number == 1
