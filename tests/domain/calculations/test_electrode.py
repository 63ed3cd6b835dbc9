"""Electrodes against Table 41.5 of BS 7671 (printed to whole ohms)."""

from __future__ import annotations

import pytest

from tests.domain.published import half_a_digit, published
from trainer.domain.calculations.electrode import highest_electrode_resistance_ohm, touch_voltage_v


@pytest.mark.parametrize("row", published("maximum_impedance_residual"))
def test_the_highest_electrode_is_that_of_table_41_5(row: dict[str, str]) -> None:
    computed = highest_electrode_resistance_ohm(50.0, float(row["rated_residual_operating_current_ma"]))
    assert computed == pytest.approx(float(row["impedance_ohm"]), abs=half_a_digit(row["impedance_ohm"]))


def test_the_touch_voltage_is_resistance_times_current() -> None:
    assert touch_voltage_v(620.0, 100.0) == pytest.approx(62.0)  # 620 ohm x 0.1 A
    assert touch_voltage_v(500.0, 100.0) == 50.0
