"""Open PEN: neutral current, voltage of the earthing terminal, additional electrode.

Outside values: worked figures of Annex A722 in ``tests/reference``; a second method (complex node
analysis with numpy) for the voltage and for the electrode.
"""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.published import half_a_digit, published
from tests.draws import UNHURRIED
from trainer.domain.calculations.open_pen import (
    LineCurrents,
    additional_electrode_ohm,
    credible_load_states,
    neutral_current_a,
    open_pen_voltage_v,
    permitted_neutral_current_a,
    single_phase_electrode_ohm,
    sum_of_currents_a,
)

NOMINAL_V, HIGHEST_V, LIMIT_V = 230.0, 253.0, 70.0

THREE_PHASE = published("open_pen_three_phase")
SINGLE_PHASE = published("open_pen_single_phase_electrode")


def by_node_analysis(lines: LineCurrents, electrode_ohm: float = math.inf) -> float:
    """Voltage of the floating star point: loads as admittances I/U0, the electrode as one more to Earth."""
    admittances = [current / NOMINAL_V for current in lines]
    phases = [cmath.rect(HIGHEST_V, -2 * math.pi * k / 3) for k in range(3)]
    driven = sum(y * v for y, v in zip(admittances, phases, strict=True))
    return abs(driven) / (sum(admittances) + 1 / electrode_ohm)


@pytest.mark.parametrize("row", THREE_PHASE)
def test_the_voltage_agrees_with_the_worked_figures(row: dict[str, str]) -> None:
    lines = LineCurrents(*(float(row[name]) for name in ("l1_a", "l2_a", "l3_a")))
    assert open_pen_voltage_v(lines, HIGHEST_V) == pytest.approx(
        float(row["voltage_v"]), abs=half_a_digit(row["voltage_v"])
    )


@pytest.mark.parametrize("row", SINGLE_PHASE)
def test_the_single_phase_electrode_agrees_with_the_worked_figures(row: dict[str, str]) -> None:
    computed = single_phase_electrode_ohm(float(row["current_a"]), NOMINAL_V, HIGHEST_V, LIMIT_V)
    assert computed == pytest.approx(float(row["resistance_ohm"]), abs=half_a_digit(row["resistance_ohm"]))


currents = st.floats(min_value=0.1, max_value=200.0)


@UNHURRIED
@given(currents, currents, currents)
def test_the_voltage_agrees_with_node_analysis(l1: float, l2: float, l3: float) -> None:
    lines = LineCurrents(l1, l2, l3)
    assert open_pen_voltage_v(lines, HIGHEST_V) == pytest.approx(by_node_analysis(lines), abs=1e-6)


@UNHURRIED
@given(currents, currents, currents)
def test_the_electrode_brings_the_voltage_to_the_limit_exactly(l1: float, l2: float, l3: float) -> None:
    lines = LineCurrents(l1, l2, l3)
    ohm = additional_electrode_ohm(lines, NOMINAL_V, HIGHEST_V, LIMIT_V)
    if math.isinf(ohm):
        assert by_node_analysis(lines) <= LIMIT_V + 1e-6
    else:
        assert by_node_analysis(lines, ohm) == pytest.approx(LIMIT_V, rel=1e-6)


@UNHURRIED
@given(currents)
def test_one_line_alone_gives_the_single_phase_electrode(current: float) -> None:
    lines = LineCurrents(current, 0.0, 0.0)
    expected = single_phase_electrode_ohm(current, NOMINAL_V, HIGHEST_V, LIMIT_V)
    assert additional_electrode_ohm(lines, NOMINAL_V, HIGHEST_V, LIMIT_V) == pytest.approx(expected)


def test_balanced_lines_carry_no_neutral_current() -> None:
    assert neutral_current_a(LineCurrents(32.0, 32.0, 32.0)) == pytest.approx(0.0, abs=1e-12)
    assert neutral_current_a(LineCurrents(32.0, 0.0, 0.0)) == 32.0


def test_the_neutral_current_of_60_55_50_is_8_66_a_by_hand() -> None:
    # 60 - 52.5 = 7.5; 0.866 x 5 = 4.33; sqrt(56.25 + 18.75) = 8.66
    assert neutral_current_a(LineCurrents(60.0, 55.0, 50.0)) == pytest.approx(8.66, abs=0.005)


def test_the_permitted_neutral_current_is_where_the_voltage_meets_the_limit() -> None:
    # 70 x 39 / 253 = 10.79
    permitted = permitted_neutral_current_a(LineCurrents(35.0, 2.0, 2.0), HIGHEST_V, LIMIT_V)
    assert permitted == pytest.approx(10.79, abs=0.005)


def test_generation_that_outweighs_the_load_leaves_the_voltage_undefined() -> None:
    assert math.isinf(open_pen_voltage_v(LineCurrents(5.0, -10.0, 2.0), HIGHEST_V))
    assert math.isinf(open_pen_voltage_v(LineCurrents(0.0, 0.0, 0.0), HIGHEST_V))
    assert sum_of_currents_a(LineCurrents(5.0, -10.0, 2.0)) == -3.0


def test_the_load_states_are_every_line_on_or_at_base_load() -> None:
    states = set(
        credible_load_states(LineCurrents(32.0, 0.0, 0.0), LineCurrents(40.0, 1.0, 10.0), LineCurrents(0, 0, 0), 2.0)
    )
    # On L2 the others never fall below the base load, so it has one state only.
    assert states == {(34.0, 2.0, 2.0), (34.0, 2.0, 10.0), (72.0, 2.0, 2.0), (72.0, 2.0, 10.0)}


def test_generation_is_on_or_off_in_the_load_states() -> None:
    states = set(
        credible_load_states(LineCurrents(32.0, 0.0, 0.0), LineCurrents(0, 0, 0), LineCurrents(16.0, 0.0, 0.0), 2.0)
    )
    assert states == {(34.0, 2.0, 2.0), (18.0, 2.0, 2.0)}
