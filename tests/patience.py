"""How long a test waits for what must come: no measure of anything, only the end of a test that would wait for ever.

Whoever waits here goes on as soon as it is there. A machine with other work may need twenty times as long as an idle
one, so what is near to the usual time would fail by chance.
"""

from __future__ import annotations

import time
from collections.abc import Callable

PATIENCE_S = 300.0
# A page may miss many things at once, and each is waited for.
ON_A_PAGE_MS = 120_000


def until(true: Callable[[], object], what: str, every_s: float = 0.05) -> None:
    """Goes on as soon as it is true; fails after the longest wait, saying what was waited for."""
    deadline = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < deadline, f"waited {PATIENCE_S:.0f} s in vain: {what}"
        time.sleep(every_s)
