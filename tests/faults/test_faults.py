"""A few of each kind of harm; ``python -m tests.faults --kills 200`` does it for longer."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.faults.program import killed
from tests.faults.trial import trial
from tests.postgresql import PACKAGE, programs


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_nothing_that_was_told_is_lost_or_done_twice_whatever_is_killed(kind: str) -> None:
    """POSIX.1-2017 (SIGKILL); sqlite.org, "Write-Ahead Logging"; postgresql.org, "Write-Ahead Logging"."""
    if kind == "postgresql" and programs() is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(f"apt-get install {PACKAGE}")
    # PostgreSQL's own user must reach what lies there.
    with TemporaryDirectory(prefix="faults-") as made:
        Path(made).chmod(0o755)
        outcome = trial(kind, 16, Path(made))
    assert outcome.wrong == []
    assert outcome.ledger.saves > 0
    assert len(outcome.ledger.handed_in) > 0
    assert outcome.restarts > 0


@pytest.mark.parametrize("number", [-1, 0, 1])
def test_only_one_process_is_ever_killed(number: int) -> None:
    """POSIX.1-2017, kill(): -1 is every process there is, 0 the own group."""
    with pytest.raises(ValueError, match="not the number of one process"):
        killed(number)
