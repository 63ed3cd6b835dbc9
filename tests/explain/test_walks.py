"""Simulated faults in words: only what nobody need clear, never "cannot"."""

from __future__ import annotations

from dataclasses import replace

from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Curve, DeviceKind
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


def test_a_bolted_fault_without_residual_current_device_says_what_the_overcurrent_devices_do() -> None:
    walks, _ = told_walks(slow_loop())
    bolted = [walk for walk in walks if "to be cleared within 0.4 s" in walk.how]
    assert bolted
    for walk in bolted:
        assert walk.steps[-1].device == "Cut-out fuse"
        assert all(step.current.endswith("\u00a0A") for step in walk.steps)


def slow_loop() -> Installation:
    """A circuit-breaker of 32 A, curve D, alone before 0.46 ohm: 230 V drive less than 20 times its rating.

    By hand: 0.37 + 8 m x 2 x 4.61 mohm/m x 1.20 = 0.46 ohm, 500 A; 20 times 32 A are 640 A (BS EN 60898-1); 0.4 s
    for a final circuit in TN (BS 7671 Table 41.1). All from memory.
    """
    house = example("terraced-house-charger-heat-pump")
    slow = replace(
        house.devices["way6"],
        kind=DeviceKind.CIRCUIT_BREAKER,
        curve=Curve.D,
        rated_current_a=32.0,
        rcd_type=None,
        rated_residual_operating_current_ma=None,
        residual_delay=None,
    )
    supply = replace(house.supply, external_earth_fault_loop_impedance_ohm=0.37)
    return replace(house, supply=supply, devices={**house.devices, "way6": slow})
