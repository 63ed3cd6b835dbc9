"""What the processors did is told apart for each phase of a run."""

from __future__ import annotations

import os
import re
import threading
import time
from pathlib import Path

from tests.bench.load.machine import watched
from tests.bench.load.saves import Pace
from tests.bench.load.sending import Sender
from tests.patience import until


def test_a_run_sits_signs_in_sits_and_hands_in() -> None:
    assert Pace(seconds=60, hand_in_s=120, sign_ins=[b""]).phases() == [
        (0.0, "all sit"),
        (30.0, "others sign in"),
        (40.0, "all sit"),
        (60, "others hand in"),
    ]
    assert Pace(seconds=60).phases() == [(0.0, "all sit"), (60, "others hand in")]
    # Where the steady part is short the hand-in begins while others still sign in.
    assert Pace(seconds=10, sign_ins=[b""]).meanwhile(9.9) == "others sign in"
    assert Pace(seconds=10, sign_ins=[b""]).meanwhile(10.0) == "others hand in"


def test_each_phase_has_what_was_used_in_it_and_no_other(tmp_path: Path) -> None:
    with watched(tmp_path, {"this test": os.getpid()}, "idling") as watch:
        until(lambda: len(watch.looks) >= 1, "a look")
        watch.phase("working")
        until(lambda: len(watch.looks) >= 2, "a look")
        before_s = time.process_time()
        while time.process_time() - before_s < 0.3:
            pass
        watch.phase("idling again")
        until(lambda: len(watch.looks) >= 3, "a look")
    used = dict(re.findall(r"^(.*): \d+ processors for [\d.]+ s: this test ([\d.]+) s", watch.text(), re.MULTILINE))
    assert set(used) == {"idling", "working", "idling again", "in all"}
    assert 0.2 <= float(used["working"]) <= float(used["in all"])
    assert float(used["idling"]) < float(used["working"])


def test_a_phase_begins_at_its_moment_of_the_run() -> None:
    sender, begun = Sender(1), []
    sender.call(0.2, lambda: begun.append("second"))
    sender.call(0.0, lambda: begun.append("first"))
    done = threading.Event()
    # Nobody listens there, so the one request is answered at once and the run is over.
    sender.add(0.4, lambda: b"GET / HTTP/1.1\r\n\r\n", lambda _answer: done.set())
    sender.run()
    assert done.is_set()
    assert begun == ["first", "second"]
