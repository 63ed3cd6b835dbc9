"""Work done in a child process, so that nothing of it stays in this one."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path

from _pytest.tmpdir import TempPathFactory

PASSED, FAILED, BROKEN = 0, 1, 2
MEMORY_BYTES = 6 * 1024**3
WALL_TO_PROCESSOR = 20


def _quiet() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    if not os.environ.get("MUTATION_TALKS"):
        os.dup2(nowhere, 2)


def in_a_child(work: Callable[[], bool], processor_s: int, folder: TempPathFactory | None = None) -> int:
    """What came of it: ``PASSED``, ``FAILED`` (also when it never ended), or ``BROKEN``.

    A change may make a loop that never ends or a list without an end: time and memory are bounded.
    """
    room = Path(tempfile.mkdtemp(prefix="mutation-"))
    child = os.fork()
    if not child:
        outcome = BROKEN
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (processor_s, processor_s))
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
            signal.alarm(WALL_TO_PROCESSOR * processor_s)
            os.environ["TMPDIR"] = str(room)
            tempfile.tempdir = str(room)
            if folder is not None:
                folder._basetemp = room
            _quiet()
            outcome = PASSED if work() else FAILED
        except BaseException:  # noqa: BLE001 - the child must end here, whatever came
            traceback.print_exc()
        finally:
            os._exit(outcome)
    _, status = os.waitpid(child, 0)
    shutil.rmtree(room, ignore_errors=True)
    return FAILED if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)
