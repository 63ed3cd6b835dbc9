"""Whoever stands back writes with the usual priority.

*Source* sched(7) and getpriority(2): under Linux each thread has a nice value of its own, 0 by
default, 19 for the lowest priority.
"""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.patience import PATIENCE_S

# A process of its own: without privileges nobody comes forward again.
WORK = """
import os, threading
from trainer.cli.standing_back import STANDS_BACK, stood_back
def nice():
    return os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
before = nice()
foreground = stood_back()
made_later = []
thread = threading.Thread(target=lambda: made_later.append(nice()))
thread.start()
thread.join()
back = min(19, before + STANDS_BACK)
assert [nice(), *made_later] == [back, back], (nice(), made_later)
assert foreground(nice) == before, foreground(nice)
try:
    foreground(lambda: 1 / 0)
except ZeroDivisionError:
    print("told")
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a process has one priority")
def test_what_others_wait_for_keeps_its_priority_while_the_rest_stands_back() -> None:
    done = subprocess.run([sys.executable, "-c", WORK], capture_output=True, text=True, check=False, timeout=PATIENCE_S)
    assert (done.stdout, done.stderr) == ("told\n", "")
