"""How long a scenario takes, proof included.

Limit of the task: a median under 10 ms at each level. Time of the processor is measured, not that
of the clock, so that other work on the machine does not decide.
"""

from __future__ import annotations

import statistics
import time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from trainer.domain.generator.generate import generate
from trainer.domain.generator.request import TaskRequest
from trainer.services.scenarios import scenarios

SEEDS = 60
LIMIT_S = 0.010


@pytest.mark.bench
@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_a_proven_scenario_is_made_in_ten_milliseconds(benchmark: BenchmarkFixture, level: int) -> None:
    data = scenarios()
    generate(TaskRequest(seed=0, level=level), data)
    taken = []

    def make_all() -> None:
        for seed in range(SEEDS):
            start = time.process_time()
            generate(TaskRequest(seed=seed, level=level), data)
            taken.append(time.process_time() - start)

    benchmark.pedantic(make_all, rounds=3)
    assert statistics.median(taken) < LIMIT_S
