"""Workers and the database are killed while people save: whatever was called saved must be there.

SIGKILL lets a program do nothing more (POSIX.1-2017, signal.h); PostgreSQL takes up its log again at
the next start (postgresql.org, Write Ahead Log).
"""

from __future__ import annotations

import os
import random
import signal
from contextlib import suppress
from pathlib import Path

import pytest

from tests.bench.load import saves, servers, sitters
from trainer.config import sqlite_url


@pytest.mark.slow
def test_no_acknowledged_answer_is_lost_when_workers_are_killed(tmp_path: Path) -> None:
    address = sqlite_url(tmp_path / "trainer.sqlite3")
    names = sitters.college(address, 4)
    chance = random.Random(8)
    with servers.program(address, tmp_path / "data") as (master, port):
        people = sitters.seated(names, port)
        for _ in range(6):
            with suppress(ProcessLookupError, IndexError):
                os.kill(chance.choice(servers.workers_of(master)), signal.SIGKILL)
            saves.paced(people, seconds=3, save_every_s=0.5, page_every_s=60)
        # The server came back by itself: saves go through again.
        before = [each.acknowledged for each in people]
        saves.paced(people, seconds=3, save_every_s=1, page_every_s=60)
    assert sum(each.acknowledged for each in people) > sum(before) > 0
    assert sitters.lost(address, people) == []
