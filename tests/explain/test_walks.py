"""Simulated faults in words: only what nobody need clear, never "cannot"."""

from __future__ import annotations

from trainer.domain.installation import Installation
from trainer.explain.walks import told_walks
from trainer.interop.installations import read_installation
from trainer.resources import folder


def example(name: str) -> Installation:
    file = folder("scenarios") / "examples" / f"{name}.toml"
    return read_installation(file.read_bytes()).installation


def test_a_type_a_above_a_type_b_leaves_a_contact_that_nobody_need_clear() -> None:
    walks, in_all = told_walks(example("type-a-above-type-b"))
    assert 0 < len(walks) <= in_all
    said = [step for walk in walks for step in walk.steps]
    assert any(step.verdict == "is not required to act" for step in said)
    assert any("smooth d.c." in step.reason for step in said)


def test_no_words_say_that_a_device_cannot_act() -> None:
    walks, _ = told_walks(example("type-a-above-type-b"))
    text = str(walks)
    assert "cannot" not in text
    assert "lost" not in text


def test_what_is_cleared_is_not_told() -> None:
    walks, in_all = told_walks(example("terraced-house-charger-heat-pump"))
    assert walks == [] or in_all > 0
    assert all(any(step.verdict == "is not required to act" for step in walk.steps) for walk in walks)
