"""Several workers of a server at once: fifty starts make one attempt, fifty submissions one grading."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.services.sittings.world import World
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.sittings import GradingRow, SittingRow

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
