"""The same seed asks the same question: today as when the hashes were written, in every process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.domain.questions.golden import ANY_FAMILY, CASES, fingerprints

KEPT = Path(__file__).with_name("golden_hashes.json")
ROOT = Path(__file__).resolve().parents[3]


def test_questions_are_those_whose_hashes_were_kept():
    assert fingerprints() == json.loads(KEPT.read_text("utf-8"))


def test_different_cases_have_different_hashes():
    assert len(set(json.loads(KEPT.read_text("utf-8")).values())) == len(CASES) + len(ANY_FAMILY)


@pytest.mark.parametrize("hash_seed", ["0", "4294967295"])
def test_another_process_with_another_order_of_hashes_gives_the_same(hash_seed):
    run = subprocess.run(
        [sys.executable, "-m", "tests.domain.questions.golden"],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        capture_output=True,
        check=True,
        timeout=120,
    )
    assert json.loads(run.stdout) == json.loads(KEPT.read_text("utf-8"))
