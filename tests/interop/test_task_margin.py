"""The margin of a task: how near its intended proposal comes to a limit."""

from __future__ import annotations

import pytest

from trainer.domain.findings import Verdict
from trainer.domain.generator.margin import BAND, NARROWER
from trainer.domain.generator.request import TaskRequest
from trainer.domain.vocabulary import Outcome
from trainer.interop.task_json import task_json
from trainer.interop.task_margin import _distance, margin_of
from trainer.services.scenarios import make_task


def verdict(value: float | str | None, limit: float | None) -> Verdict:
    return Verdict(outcome=Outcome.COMPLIES, value=value, limit=limit)


def test_the_distance_is_a_share_of_the_limit_on_either_side() -> None:
    assert _distance(verdict(9, 10)) == pytest.approx(0.1)
    assert _distance(verdict(12, 10)) == pytest.approx(0.2)


def test_words_and_what_has_no_limit_have_no_distance() -> None:
    assert _distance(verdict("A", 10)) is None
    assert _distance(verdict(9, None)) is None
    assert _distance(verdict(None, 10)) is None
    assert _distance(verdict(9, 0)) is None


@pytest.mark.parametrize("level", [1, 2, 3, 4])
@pytest.mark.parametrize("seed", [3, 4, 5])
def test_no_task_comes_nearer_to_a_limit_than_the_generators_band(seed: int, level: int) -> None:
    margin = margin_of(make_task(TaskRequest(seed=seed, level=level)))
    assert margin is None or margin >= min(BAND, *NARROWER.values())


def test_the_key_holds_the_margin_and_a_task_without_key_does_not() -> None:
    task = make_task(TaskRequest(seed=3, level=2))
    weights = [0] * len(task.decisions)
    assert task_json(task, weights, "", with_key=True)["key"]["margin"] == margin_of(task)
    assert "key" not in task_json(task, weights, "")
