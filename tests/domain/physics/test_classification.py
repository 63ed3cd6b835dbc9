from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from trainer.domain.physics import classification
from trainer.domain.physics.classification import (
    OUTPUT_FREQUENCIES_HZ,
    ResidualClass,
    classification_limits,
    classify,
    least_type,
    least_type_of_equipment,
    worst_fault,
)
from trainer.domain.physics.front_ends import FaultPoint, FrontEndParameters, waveform
from trainer.domain.physics.waveform import Samples, Waveform, half_step_times
from trainer.domain.vocabulary import FrontEnd, RcdType

CIRCUITS = Path(__file__).resolve().parents[2] / "reference" / "semiconductor_circuits.csv"


def angles(periods: int = 1) -> Samples:
    return 2.0 * math.pi * 50.0 * half_step_times(periods / 50.0, 360 * periods)


def half_wave() -> Waveform:
    return Waveform.sampled(100.0 * np.maximum(np.sin(angles()), 0.0))


def pulse(width_deg: int) -> Waveform:
    """A half sine squeezed into ``width_deg``, zero for the rest of the period."""
    values = np.zeros(360)
    values[:width_deg] = np.sin(math.pi * (np.arange(width_deg) + 0.5) / width_deg)
    return Waveform.sampled(values)


def circuits() -> list[dict[str, str]]:
    lines = [line for line in CIRCUITS.read_text("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", circuits(), ids=lambda row: f"{row['number']}-{row['front_end']}")
def test_the_table_of_semiconductor_circuits_asks_for_the_computed_type(row: dict[str, str]) -> None:
    front_end = FrontEnd(row["front_end"])
    if row["fault_point"]:
        computed = least_type(waveform(front_end, FaultPoint(row["fault_point"])))
    else:
        computed = least_type_of_equipment(front_end)
    assert computed is RcdType(row["least_type"])


# Source: reasoning from the definitions (status derived), the worst fault point decides.
EQUIPMENT = {
    RcdType.AC: (FrontEnd.RESISTIVE, FrontEnd.PHASE_ANGLE, FrontEnd.BURST),
    RcdType.A: (
        FrontEnd.HALF_WAVE,
        FrontEnd.BRIDGE_RESISTIVE,
        FrontEnd.BRIDGE_CAPACITOR,
        FrontEnd.BRIDGE_HALF_CONTROLLED,
    ),
    RcdType.F: (FrontEnd.CONVERTER_SINGLE_PHASE,),
    RcdType.B: (
        FrontEnd.HALF_WAVE_CAPACITOR,
        FrontEnd.BRIDGE_CHOKE,
        FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
        FrontEnd.BRIDGE_BETWEEN_LINES,
        FrontEnd.THREE_PULSE,
        FrontEnd.SIX_PULSE_CAPACITOR,
        FrontEnd.SIX_PULSE_CHOKE,
        FrontEnd.CONVERTER_THREE_PHASE,
        FrontEnd.INVERTER_FULL_BRIDGE,
        FrontEnd.INVERTER_LINE_FREQUENCY_LEG,
        FrontEnd.INVERTER_HALF_BRIDGE,
        FrontEnd.INVERTER_THREE_PHASE,
    ),
}


@pytest.mark.parametrize(
    ("rcd_type", "front_end"),
    [(rcd_type, front_end) for rcd_type, front_ends in EQUIPMENT.items() for front_end in front_ends],
)
def test_the_worst_fault_of_each_front_end_asks_for_its_type(rcd_type: RcdType, front_end: FrontEnd) -> None:
    assert least_type_of_equipment(front_end) is rcd_type


@pytest.mark.parametrize("firing_angle_deg", range(0, 171, 10))
def test_controls_ask_for_no_more_at_any_firing_angle(firing_angle_deg: int) -> None:
    parameters = FrontEndParameters(firing_angle_deg=float(firing_angle_deg))
    assert least_type_of_equipment(FrontEnd.PHASE_ANGLE, parameters) is RcdType.AC
    assert least_type_of_equipment(FrontEnd.HALF_WAVE, parameters) is RcdType.A
    assert least_type_of_equipment(FrontEnd.BRIDGE_HALF_CONTROLLED, parameters) is RcdType.A


@pytest.mark.parametrize(("on", "off"), [(1, 1), (1, 24), (24, 1), (7, 5)])
def test_burst_control_of_any_rhythm_stays_alternating(on: int, off: int) -> None:
    parameters = FrontEndParameters(burst_on_periods=on, burst_off_periods=off)
    current = waveform(FrontEnd.BURST, FaultPoint.CONTROLLED_LINE, parameters)
    assert classify(current) is ResidualClass.ALTERNATING


def test_the_interval_at_zero_that_makes_pulsating_direct_current_is_150_degrees() -> None:
    """Source: definition in IEC TR 60755 (status from memory); hand calculation.

    At 42 mA r.m.s. a half sine of width w degrees has the peak 42 sqrt(720 / w) mA and stays within
    6 mA for asin(6 / peak) w / 180 degrees at either end. It rests for 360 - w and twice that:
    152.9 degrees at w = 218, 145.5 degrees at w = 226.
    """
    assert classify(pulse(218)) is ResidualClass.PULSATING_DC
    assert classify(pulse(226)) is ResidualClass.PULSATING_ON_SMOOTH_DC


@pytest.mark.parametrize(
    ("standing_dc_ma", "residual_class", "rcd_type"),
    [
        (0.0, ResidualClass.PULSATING_DC, RcdType.A),
        (6.0, ResidualClass.PULSATING_DC, RcdType.A),
        (6.1, ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.F),
        (10.0, ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.F),
        (10.1, ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.B),
        (-6.0, ResidualClass.PULSATING_DC, RcdType.A),
    ],
)
def test_type_a_bears_6_and_type_f_10_ma_of_smooth_direct_current_under_a_half_wave(
    standing_dc_ma: float, residual_class: ResidualClass, rcd_type: RcdType
) -> None:
    """Source: IEC 62873-2:2016 3.3.27 and 3.3.28."""
    assert classify(half_wave(), standing_dc_ma=standing_dc_ma) is residual_class
    assert least_type(half_wave(), standing_dc_ma=standing_dc_ma) is rcd_type


def test_the_magnitude_of_a_fault_does_not_change_its_class() -> None:
    for factor in (0.001, 1.0, 1000.0):
        assert classify(half_wave().scaled(factor)) is ResidualClass.PULSATING_DC


def test_the_drop_of_a_diode_does_not_turn_a_half_wave_into_smooth_direct_current() -> None:
    # 0.7 V in 325 V, before a fault resistance that makes 7 A of the peak: 15 mA that never ceases.
    with_drop = Waveform.sampled(np.where(np.sin(angles()) > 0.0, 7000.0 * np.sin(angles()), -15.0))
    assert least_type(with_drop) is RcdType.A


def test_a_small_ripple_leaves_direct_current_smooth_and_a_large_one_does_not() -> None:
    """Source: ripple-free direct current has no more than 10 % r.m.s. ripple (status from memory)."""
    ripple = math.sqrt(2.0) * np.sin(angles())
    assert classify(Waveform.sampled(10.0 + 0.99 * ripple)) is ResidualClass.SMOOTH_DC
    assert classify(Waveform.sampled(10.0 + 1.01 * ripple)) is ResidualClass.PULSATING_ON_SMOOTH_DC


def test_type_f_is_asked_for_composite_current_fed_from_line_and_neutral() -> None:
    """Source: IEC 62873-2:2016 3.3.28; the mix is that of IEC 62423's test (status from memory)."""
    t = half_step_times(0.1, 1800)
    mix = 0.138 * np.sin(314.159265 * t) + 0.138 * np.sin(6283.18531 * t) + 0.035 * np.sin(62.8318531 * t)
    current = Waveform.sampled(mix, periods=5)
    assert classify(current) is ResidualClass.COMPOSITE
    assert least_type(current) is RcdType.F
    assert least_type(current.plus_dc(0.198)) is RcdType.B


def test_alternating_current_of_150_hz_asks_for_type_b() -> None:
    """Source: IEC 62873-2:2016 3.3.29, sinusoidal current up to 1 kHz is asked of type B only."""
    current = Waveform.sampled(np.sin(3.0 * angles()))
    assert classify(current) is ResidualClass.ALTERNATING
    assert least_type(current) is RcdType.B


def test_a_square_pulse_is_pulsating_by_definition_but_not_a_shape_that_type_a_is_tested_with() -> None:
    current = Waveform.sampled(np.where(np.sin(angles()) > 0.0, 1.0, 0.0))
    assert classify(current) is ResidualClass.PULSATING_DC
    assert least_type(current) is RcdType.B


def test_no_current_asks_for_nothing_more_than_type_ac() -> None:
    nothing = Waveform.sampled(np.zeros(360))
    assert classify(nothing) is ResidualClass.ALTERNATING
    assert least_type(nothing) is RcdType.AC
    assert classify(nothing, standing_dc_ma=5.0) is ResidualClass.SMOOTH_DC


def test_an_output_at_the_supply_frequency_hides_what_other_frequencies_show() -> None:
    hidden = waveform(
        FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, FrontEndParameters(output_frequency_hz=50.0)
    )
    assert classify(hidden) is ResidualClass.ALTERNATING
    assert worst_fault(FrontEnd.CONVERTER_SINGLE_PHASE, FrontEndParameters()).least_type is RcdType.F


@pytest.mark.slow
@pytest.mark.parametrize("front_end", [FrontEnd.CONVERTER_SINGLE_PHASE, FrontEnd.CONVERTER_THREE_PHASE])
def test_every_whole_hertz_asks_for_no_more_than_the_frequencies_tried(front_end: FrontEnd) -> None:
    found = {
        least_type(waveform(front_end, FaultPoint.INVERTER_OUTPUT, FrontEndParameters(output_frequency_hz=float(f))))
        for f in range(10, 61)
    }
    tried = {
        least_type(waveform(front_end, FaultPoint.INVERTER_OUTPUT, FrontEndParameters(output_frequency_hz=f)))
        for f in OUTPUT_FREQUENCIES_HZ
    }
    assert max(found, key=lambda kind: kind.rank) is max(tried, key=lambda kind: kind.rank)


def test_galvanic_separation_leaves_the_alternating_fault_of_the_line() -> None:
    parameters = FrontEndParameters(galvanic_separation=True)
    assert least_type_of_equipment(FrontEnd.INVERTER_FULL_BRIDGE, parameters) is RcdType.AC


def test_controls_stay_far_from_the_share_that_makes_a_current_composite() -> None:
    share = classification_limits().composite_share.value
    burst = waveform(FrontEnd.BURST, FaultPoint.CONTROLLED_LINE)
    assert classification._share_between_periods(burst) < share / 50.0
    for hertz in (10.0, 35.0, 45.0, 60.0):
        parameters = FrontEndParameters(output_frequency_hz=hertz)
        output = waveform(FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, parameters)
        assert classification._share_between_periods(output) > share * 2.5
