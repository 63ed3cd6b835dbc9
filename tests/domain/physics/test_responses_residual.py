"""What residual current devices promise at waveforms of known shape.

Outside values: classes of type and smooth d.c. of IEC 62873-2 (AC sinusoidal only; A with 6 mA, F
with 10 mA, B with the greater of 0.4 times its rating and 10 mA), operating limits of IEC 61008-1
and IEC 62423 (1, 1.4, 2 times the rating).
"""

from __future__ import annotations

import numpy as np
import pytest

from trainer.domain.limits import limits_for
from trainer.domain.physics.bands import ResidualRating
from trainer.domain.physics.front_ends import FaultPoint, waveform
from trainer.domain.physics.responses import (
    Reason,
    ResidualCurrent,
    Response,
    TripVerdict,
    residual_current_of,
    residual_response,
)
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import Edition, FrontEnd, RcdType, ResidualDelay

LIMITS = limits_for(Edition.A4_2026)
MUST, MAY = TripVerdict.MUST, TripVerdict.MAY
NOT_REQUIRED, MUST_NOT = TripVerdict.NOT_REQUIRED, TripVerdict.MUST_NOT
ANGLES = 2 * np.pi * (np.arange(360) + 0.5) / 360


def sinusoid(rms_ma: float, hertz: int = 50) -> ResidualCurrent:
    angles = ANGLES if hertz == 50 else 2 * np.pi * (np.arange(3600) + 0.5) / 3600
    return residual_current_of(Waveform.sampled(rms_ma * np.sqrt(2) * np.sin(angles * hertz / 50)))


def half_wave(rms_ma: float) -> ResidualCurrent:
    return residual_current_of(Waveform.sampled(2 * rms_ma * np.maximum(np.sin(ANGLES), 0)))


def smooth(dc_ma: float) -> ResidualCurrent:
    return residual_current_of(Waveform.sampled(np.full(360, dc_ma)))


def asked(rcd_type: str, current: ResidualCurrent, rated_ma: float = 30.0, **standing: float) -> Response:
    rating = ResidualRating(rcd_type=RcdType(rcd_type), rated_residual_operating_current_ma=rated_ma)
    return residual_response(rating, current, LIMITS, **standing)


@pytest.mark.parametrize("rcd_type", ["AC", "A", "F", "B"])
def test_every_type_must_act_on_a_sinusoid_of_its_rating_and_must_not_at_half_of_it(rcd_type):
    assert asked(rcd_type, sinusoid(30.0)).verdict is MUST
    assert asked(rcd_type, sinusoid(22.0)).verdict is MAY
    assert asked(rcd_type, sinusoid(15.0)).verdict is MUST_NOT


def test_a_type_ac_device_is_not_required_to_act_on_half_waves():
    response = asked("AC", half_wave(200.0))
    assert (response.verdict, response.reason) == (NOT_REQUIRED, Reason.BEYOND_TYPE)


@pytest.mark.parametrize("rcd_type", ["A", "F", "B"])
def test_half_waves_oblige_type_a_and_above_from_1_4_times_the_rating(rcd_type):
    assert asked(rcd_type, half_wave(42.0)).verdict is MUST
    assert asked(rcd_type, half_wave(41.0)).verdict is MAY
    assert asked(rcd_type, half_wave(10.4)).verdict is MUST_NOT


@pytest.mark.parametrize("rcd_type", ["AC", "A", "F"])
@pytest.mark.parametrize("dc_ma", [6.0, 60.0, 3000.0])
def test_below_type_b_no_device_is_required_to_act_on_smooth_dc(rcd_type, dc_ma):
    response = asked(rcd_type, smooth(dc_ma))
    assert (response.verdict, response.reason) == (NOT_REQUIRED, Reason.BEYOND_TYPE)
    assert response.most_ms is None


def test_a_30_ma_type_b_device_must_act_on_60_ma_of_smooth_dc_and_not_before():
    assert asked("B", smooth(60.0)).verdict is MUST
    assert asked("B", smooth(-60.0)).verdict is MUST
    assert asked("B", smooth(59.0)).verdict is MAY
    assert asked("B", smooth(15.0)).verdict is MUST_NOT


@pytest.mark.parametrize(("rcd_type", "tolerated_ma"), [("AC", 0.0), ("A", 6.0), ("F", 10.0)])
def test_standing_dc_up_to_the_tolerance_leaves_the_promise_and_above_takes_it(rcd_type, tolerated_ma):
    at_limit = asked(rcd_type, sinusoid(230.0), standing_dc_ma=tolerated_ma)
    above = asked(rcd_type, sinusoid(230.0), standing_dc_ma=tolerated_ma + 0.1)
    assert at_limit.verdict is MUST
    assert (above.verdict, above.reason) == (NOT_REQUIRED, Reason.STANDING_DC)
    assert asked(rcd_type, sinusoid(230.0), standing_dc_ma=-tolerated_ma - 0.1).verdict is NOT_REQUIRED


def test_the_tolerance_for_standing_dc_does_not_grow_with_the_rating():
    assert asked("A", sinusoid(900.0), rated_ma=300.0, standing_dc_ma=12.0).verdict is NOT_REQUIRED


def test_a_delay_does_not_change_what_a_device_tolerates():
    rating = ResidualRating(rcd_type=RcdType.A, rated_residual_operating_current_ma=100.0, delay=ResidualDelay.S)
    response = residual_response(rating, sinusoid(500.0), LIMITS, standing_dc_ma=12.0)
    assert response.verdict is NOT_REQUIRED


def test_type_b_bears_0_4_times_its_rating_and_acts_on_the_dc_alone_at_twice_its_rating():
    assert asked("B", sinusoid(230.0), standing_dc_ma=12.0).verdict is MUST
    between = asked("B", sinusoid(230.0), standing_dc_ma=30.0)
    assert (between.verdict, between.reason) == (MAY, Reason.BEYOND_TESTED_DC)
    assert asked("B", sinusoid(230.0), standing_dc_ma=60.0).verdict is MUST


def test_leakage_counts_towards_unwanted_tripping_but_not_towards_the_promise():
    assert asked("A", sinusoid(14.0), standing_ac_ma=9.0).verdict is MAY
    assert asked("A", sinusoid(25.0), standing_ac_ma=9.0).verdict is MAY
    assert asked("A", sinusoid(25.0), standing_ac_ma=9.0).residual_current_ma == pytest.approx(34.0)


def test_without_residual_current_no_device_may_act():
    response = asked("A", sinusoid(30.0).scaled(0.0))
    assert (response.verdict, response.reason) == (MUST_NOT, Reason.NO_RESIDUAL_CURRENT)


@pytest.mark.parametrize(("hertz", "limit_ma"), [(150, 72.0), (400, 180.0), (1000, 420.0)])
def test_above_50_hz_only_type_b_is_asked_and_with_the_wider_bands_of_iec_62423(hertz, limit_ma):
    current = sinusoid(limit_ma, hertz)
    assert current.frequency_hz == pytest.approx(hertz)
    assert asked("B", current).verdict is MUST
    assert asked("B", current).limit_ma == pytest.approx(limit_ma)
    assert asked("B", sinusoid(limit_ma * 0.9, hertz)).verdict is MAY
    assert asked("F", current).reason is Reason.BEYOND_FREQUENCY


def test_beyond_1_khz_not_even_type_b_is_required_to_act():
    response = asked("B", sinusoid(1000.0, 1500))
    assert (response.verdict, response.reason) == (NOT_REQUIRED, Reason.BEYOND_FREQUENCY)


def test_a_fault_behind_a_power_factor_stage_is_beyond_type_a_and_f():
    # IEC 60755's table of circuits: a d.c. that never reaches zero asks for type B.
    wave = waveform(FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FaultPoint.DC_POSITIVE)
    current = residual_current_of(wave)
    assert [asked(kind, current).verdict for kind in ("AC", "A", "F", "B")] == [NOT_REQUIRED] * 3 + [MUST]


def test_a_capacitor_behind_a_single_phase_bridge_leaves_the_fault_to_type_a():
    current = residual_current_of(waveform(FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_POSITIVE))
    assert [asked(kind, current).verdict for kind in ("AC", "A", "B")] == [NOT_REQUIRED, MUST, MUST]


def test_the_output_of_a_single_phase_converter_asks_for_type_f():
    current = residual_current_of(waveform(FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT))
    assert [asked(kind, current).verdict for kind in ("A", "F", "B")] == [NOT_REQUIRED, MUST, MUST]


def test_times_follow_the_multiple_of_the_waveform_s_own_table():
    # IEC 61008-1 Tables 1 and 2, IEC 62423 Table 1: general type, 30 mA.
    assert asked("A", sinusoid(30.0)).most_ms == 300.0
    assert asked("A", sinusoid(250.0)).most_ms == 40.0
    assert asked("A", half_wave(42.0)).most_ms == 300.0
    assert asked("A", half_wave(350.0)).most_ms == 40.0
    assert asked("B", smooth(60.0)).most_ms == 300.0
    assert asked("B", smooth(300.0)).most_ms == 40.0


def test_no_time_is_promised_where_nothing_is_required():
    assert asked("A", sinusoid(22.0)).most_ms is None
    assert asked("A", smooth(400.0)).most_ms is None


def test_a_scaled_current_keeps_its_class():
    current = half_wave(42.0)
    half = current.scaled(0.5)
    assert half.residual_class is current.residual_class
    assert (half.rms_ma, half.mean_ma, half.peak_ma) == pytest.approx(
        (current.rms_ma / 2, current.mean_ma / 2, current.peak_ma / 2)
    )


def test_the_smooth_part_is_the_value_below_which_the_magnitude_never_falls():
    assert smooth(-8.0).smooth_ma == pytest.approx(8.0)
    assert half_wave(42.0).smooth_ma == pytest.approx(0.0, abs=1e-9)
    assert sinusoid(30.0).smooth_ma == 0.0
