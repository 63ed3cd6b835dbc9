from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from trainer.domain.physics.front_ends import (
    FRONT_ENDS,
    FaultPoint,
    FrontEndError,
    FrontEndParameters,
    waveform,
)
from trainer.domain.vocabulary import FrontEnd

PEAK_V = math.sqrt(2.0) * 230.0
REFERENCE = Path(__file__).resolve().parents[2] / "reference" / "waveform_closed_forms.csv"
COUNTS = ("burst_on_periods", "burst_off_periods")

# Half the last printed digit, and what one sample per degree leaves of an integral or a peak.
TOLERANCE = 5e-7 + 7e-5


def closed_forms() -> list[dict[str, str]]:
    lines = [line for line in REFERENCE.read_text("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def parameters_of(text: str) -> FrontEndParameters:
    given = (pair.split("=") for pair in text.split())
    return FrontEndParameters(**{name: int(value) if name in COUNTS else float(value) for name, value in given})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "row", closed_forms(), ids=lambda row: f"{row['front_end']}-{row['fault_point']}-{row['parameters']}"
)
def test_mean_rms_extremes_and_zero_interval_are_those_of_the_closed_form(row: dict[str, str]) -> None:
    parameters = parameters_of(row["parameters"])
    current = waveform(FrontEnd(row["front_end"]), FaultPoint(row["fault_point"]), parameters)
    unit_ma = PEAK_V / (parameters.fault_resistance_ohm or 1000.0) * 1000.0
    assert current.mean_ma / unit_ma == pytest.approx(float(row["mean"]), abs=TOLERANCE)
    assert current.rms_ma / unit_ma == pytest.approx(float(row["rms"]), abs=TOLERANCE)
    # Samples stand half a degree from the commutation at which a fired wave or two lines jump.
    assert current.minimum_ma / unit_ma == pytest.approx(float(row["minimum"]), abs=0.008)
    assert current.maximum_ma / unit_ma == pytest.approx(float(row["maximum"]), abs=0.008)
    assert current.zero_interval_deg() == pytest.approx(float(row["zero_interval_deg"]), abs=1e-6)


def test_every_front_end_of_the_vocabulary_is_in_the_catalogue() -> None:
    assert set(FRONT_ENDS) == set(FrontEnd)


@pytest.mark.parametrize("front_end", list(FrontEnd))
def test_defaults_lie_in_their_ranges_and_every_fault_point_can_be_computed(front_end: FrontEnd) -> None:
    entry = FRONT_ENDS[front_end]
    for parameter in entry.parameters:
        assert parameter.minimum <= parameter.default <= parameter.maximum
    for point in entry.fault_points:
        current = waveform(front_end, point)
        assert current.samples_per_period == 360
        assert current.rms_ma > 1.0


@pytest.mark.parametrize("front_end", list(FrontEnd))
def test_no_fault_point_leaves_the_range_of_what_the_circuit_can_reach(front_end: FrontEnd) -> None:
    """No pole of an unheld link lies further from earth than the supply's peak line voltage."""
    held_v = FRONT_ENDS[front_end].parameter("link_voltage_v")
    reach_v = PEAK_V * math.sqrt(3.0) + (held_v.default if held_v else 0.0)
    for point in FRONT_ENDS[front_end].fault_points:
        assert waveform(front_end, point).peak_ma <= reach_v


@pytest.mark.parametrize(
    "front_end", [FrontEnd.BRIDGE_CAPACITOR, FrontEnd.BRIDGE_BETWEEN_LINES, FrontEnd.SIX_PULSE_CAPACITOR]
)
def test_the_middle_of_a_capacitor_link_swings_evenly_about_earth(front_end: FrontEnd) -> None:
    current = waveform(front_end, FaultPoint.DC_MIDDLE)
    assert current.mean_ma == pytest.approx(0.0, abs=0.01)
    assert current.maximum_ma == pytest.approx(-current.minimum_ma, rel=0.01)


def test_a_capacitor_behind_a_single_phase_bridge_does_not_smooth_the_fault_current() -> None:
    with_capacitor = waveform(FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_POSITIVE)
    without = waveform(FrontEnd.BRIDGE_RESISTIVE, FaultPoint.DC_POSITIVE)
    np.testing.assert_array_equal(with_capacitor.residual_current_ma, without.residual_current_ma)


def test_a_capacitor_behind_a_half_wave_rectifier_decays_with_its_time_constant() -> None:
    """Source: hand calculation, v falls by exp(-t / R C) with R the load beside the fault."""
    current = waveform(FrontEnd.HALF_WAVE_CAPACITOR, FaultPoint.DC_POSITIVE)
    resistance_ohm = 1.0 / (500.0 / PEAK_V**2 + 1.0 / 1000.0)
    falls = current.residual_current_ma[300] / current.residual_current_ma[200]
    assert falls == pytest.approx(math.exp(-(100.0 / 360.0 * 0.02) / (resistance_ohm * 470e-6)), rel=1e-9)


def test_a_large_choke_gives_the_mean_of_the_rectified_voltage_less_the_lower_diodes() -> None:
    """Source: hand calculation, V = 2 peak/pi held, v_x = V + min(v, 0): mean 1/pi of the peak."""
    parameters = FrontEndParameters(choke_inductance_mh=500.0, load_power_w=3000.0)
    current = waveform(FrontEnd.BRIDGE_CHOKE, FaultPoint.DC_POSITIVE, parameters)
    assert current.mean_ma == pytest.approx(PEAK_V / math.pi, rel=0.005)
    assert current.maximum_ma == pytest.approx(2.0 / math.pi * PEAK_V, rel=0.01)


def test_the_output_of_a_converter_holds_the_supply_and_the_output_frequency_and_the_carrier() -> None:
    parameters = FrontEndParameters(output_frequency_hz=30.0)
    current = waveform(FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, parameters)
    assert current.duration_s == pytest.approx(0.1)
    lines = {round(line.frequency_hz): line.rms_ma for line in current.spectrum()}
    # v_x = v_L / 2 + (s - 1/2) |v_L|; the mean of s - 1/2 is 0.3 sin(2 pi 30 t), |v_L| has the mean 2 peak / pi.
    assert lines[50] == pytest.approx(PEAK_V / 2.0 / math.sqrt(2.0), rel=0.001)
    assert lines[30] == pytest.approx(0.3 * 2.0 / math.pi * PEAK_V / math.sqrt(2.0), rel=0.001)
    assert lines[4000] > 20.0


def test_an_output_frequency_of_37_hz_takes_a_whole_second() -> None:
    parameters = FrontEndParameters(output_frequency_hz=37.0)
    current = waveform(FrontEnd.CONVERTER_THREE_PHASE, FaultPoint.INVERTER_OUTPUT, parameters)
    assert current.duration_s == pytest.approx(1.0)


@pytest.mark.parametrize("front_end", [front_end for front_end, entry in FRONT_ENDS.items() if entry.may_be_separated])
def test_behind_galvanic_separation_only_a_fault_of_the_line_sends_residual_current(front_end: FrontEnd) -> None:
    parameters = FrontEndParameters(galvanic_separation=True)
    for point in FRONT_ENDS[front_end].fault_points:
        current = waveform(front_end, point, parameters)
        assert (current.peak_ma > 0.0) is (point is FaultPoint.LINE)


def test_twice_the_fault_resistance_halves_the_current_of_a_stiff_circuit() -> None:
    one = waveform(FrontEnd.SIX_PULSE_CAPACITOR, FaultPoint.DC_POSITIVE)
    two = waveform(
        FrontEnd.SIX_PULSE_CAPACITOR, FaultPoint.DC_POSITIVE, FrontEndParameters(fault_resistance_ohm=2000.0)
    )
    np.testing.assert_allclose(one.residual_current_ma, 2.0 * two.residual_current_ma)


REFUSALS = [
    (
        FrontEnd.SIX_PULSE_CAPACITOR,
        FaultPoint.DC_MIDDLE,
        FrontEndParameters(fault_resistance_ohm=2.0),
        "fault_resistance_ohm",
        "50 ohm",
    ),
    (FrontEnd.RESISTIVE, FaultPoint.DC_POSITIVE, FrontEndParameters(), "fault_point", "line"),
    (FrontEnd.THREE_PULSE, FaultPoint.INVERTER_OUTPUT, FrontEndParameters(), "fault_point", "dc_positive"),
    (
        FrontEnd.CONVERTER_THREE_PHASE,
        FaultPoint.DC_POSITIVE,
        FrontEndParameters(supply_phases=1),
        "supply_phases",
        "3",
    ),
    (
        FrontEnd.BRIDGE_BETWEEN_LINES,
        FaultPoint.DC_POSITIVE,
        FrontEndParameters(supply_phases=1),
        "supply_phases",
        "2",
    ),
    (
        FrontEnd.RESISTIVE,
        FaultPoint.LINE,
        FrontEndParameters(fault_resistance_ohm=0.0),
        "fault_resistance_ohm",
        "1 ohm",
    ),
    (
        FrontEnd.RESISTIVE,
        FaultPoint.LINE,
        FrontEndParameters(fault_resistance_ohm=-5.0),
        "fault_resistance_ohm",
        "1 ohm",
    ),
    (
        FrontEnd.RESISTIVE,
        FaultPoint.LINE,
        FrontEndParameters(fault_resistance_ohm=math.nan),
        "fault_resistance_ohm",
        "1000 ohm",
    ),
    (
        FrontEnd.RESISTIVE,
        FaultPoint.LINE,
        FrontEndParameters(fault_resistance_ohm=math.inf),
        "fault_resistance_ohm",
        "1e+06 ohm",
    ),
    (
        FrontEnd.CONVERTER_SINGLE_PHASE,
        FaultPoint.INVERTER_OUTPUT,
        FrontEndParameters(output_frequency_hz=75.0),
        "output_frequency_hz",
        "60 Hz",
    ),
    (
        FrontEnd.CONVERTER_SINGLE_PHASE,
        FaultPoint.INVERTER_OUTPUT,
        FrontEndParameters(output_frequency_hz=33.4),
        "output_frequency_hz",
        "33 Hz",
    ),
    (
        FrontEnd.CONVERTER_SINGLE_PHASE,
        FaultPoint.INVERTER_OUTPUT,
        FrontEndParameters(carrier_frequency_hz=4010.0),
        "carrier_frequency_hz",
        "4000 Hz",
    ),
    (
        FrontEnd.PHASE_ANGLE,
        FaultPoint.CONTROLLED_LINE,
        FrontEndParameters(firing_angle_deg=180.0),
        "firing_angle_deg",
        "170 deg",
    ),
    (
        FrontEnd.RESISTIVE,
        FaultPoint.LINE,
        FrontEndParameters(firing_angle_deg=90.0),
        "firing_angle_deg",
        None,
    ),
    (
        FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
        FaultPoint.DC_POSITIVE,
        FrontEndParameters(link_voltage_v=310.0),
        "link_voltage_v",
        "326 V",
    ),
    (
        FrontEnd.BRIDGE_CAPACITOR,
        FaultPoint.DC_POSITIVE,
        FrontEndParameters(galvanic_separation=True),
        "galvanic_separation",
        "false",
    ),
]


@pytest.mark.parametrize(
    ("front_end", "point", "parameters", "path", "nearest"),
    REFUSALS,
    ids=[f"{row[0].value}-{row[3]}-{row[4]}" for row in REFUSALS],
)
def test_what_cannot_be_is_refused_with_place_value_and_nearest(
    front_end: FrontEnd, point: FaultPoint, parameters: FrontEndParameters, path: str, nearest: str | None
) -> None:
    with pytest.raises(FrontEndError) as refusal:
        waveform(front_end, point, parameters)
    (problem,) = refusal.value.problems
    assert problem.path == path
    assert problem.value is not None
    assert problem.possible
    assert problem.nearest == nearest


def test_the_nearest_value_that_a_refusal_names_is_accepted() -> None:
    waveform(FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FaultPoint.DC_POSITIVE, FrontEndParameters(link_voltage_v=326.0))
    waveform(FrontEnd.PHASE_ANGLE, FaultPoint.CONTROLLED_LINE, FrontEndParameters(firing_angle_deg=170.0))


def test_every_problem_is_told_at_once() -> None:
    parameters = FrontEndParameters(supply_phases=1, output_frequency_hz=5.0, fault_resistance_ohm=-1.0)
    with pytest.raises(FrontEndError) as refusal:
        waveform(FrontEnd.CONVERTER_THREE_PHASE, FaultPoint.CONTROLLED_LINE, parameters)
    paths = {problem.path for problem in refusal.value.problems}
    assert paths == {"fault_point", "supply_phases", "output_frequency_hz", "fault_resistance_ohm"}


def test_an_odd_number_of_samples_is_refused() -> None:
    with pytest.raises(FrontEndError, match="even number of samples"):
        waveform(FrontEnd.RESISTIVE, FaultPoint.LINE, samples_per_period=361)
