"""PV strings in the cold, and what their neighbours send into them.

Outside values: the factor of 1.2 without data and the formulas of HD 60364-7-712 Annex B (from
memory); the figures below are worked by hand from them. No printed example is known.
"""

from __future__ import annotations

import pytest

from trainer.domain.calculations.string_voltage import reverse_current_a, string_voltage_v, voltage_factor


@pytest.mark.parametrize(
    ("coefficient", "coldest_c", "factor"),
    [(-0.28, -15.0, 1.112), (0.28, -15.0, 1.112), (-0.30, -10.0, 1.105), (-0.28, 25.0, 1.0)],
)
def test_the_factor_grows_with_the_cold(coefficient: float, coldest_c: float, factor: float) -> None:
    # 1 + 0.28/100 x 40 = 1.112; 1 + 0.30/100 x 35 = 1.105
    assert voltage_factor(coefficient, coldest_c, 25.0) == pytest.approx(factor)


def test_a_string_of_ten_modules_in_the_cold() -> None:
    assert string_voltage_v(10, 41.0, 1.112) == pytest.approx(455.92)  # 10 x 41 x 1.112


@pytest.mark.parametrize(("strings", "reverse_a"), [(1, 0.0), (2, 12.5), (4, 37.5)])
def test_all_other_strings_feed_the_faulted_one(strings: int, reverse_a: float) -> None:
    assert reverse_current_a(strings, 10.0, 1.25) == pytest.approx(reverse_a)
