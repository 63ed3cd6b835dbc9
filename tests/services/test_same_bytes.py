"""The same seed gives the same bytes in every process, whatever the order in which its sets are walked."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def hashes(hash_seed: str) -> dict[str, str]:
    run = subprocess.run(
        [sys.executable, "-m", "tests.services.same_bytes"],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        capture_output=True,
        check=True,
    )
    found: dict[str, str] = json.loads(run.stdout)
    return found


def test_every_kind_and_every_family_gives_the_same_bytes_in_another_process():
    """docs.python.org, PYTHONHASHSEED: the hashes of texts differ from process to process unless it is set."""
    one, other = hashes("0"), hashes("1")
    assert len(one) > 400
    assert {name for name in one if one[name] != other.get(name)} == set()
