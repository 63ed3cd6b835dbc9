"""The core model against a second method: a loop followed sample by sample.

Outside values: operating limits of IEC 61008-1 (1.0 for sinusoids, 1.4 for half-waves) and the
smooth direct currents of IEC 62873-2 (6 mA for type A, 10 mA for type F).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from trainer.domain.errors import UnknownNameError
from trainer.domain.limits import limits_for
from trainer.domain.physics.core import (
    Core,
    alternating_threshold_ma,
    core_curve,
    core_of,
    dc_that_desensitises_ma,
    dc_that_silences_half_waves_ma,
    half_wave_threshold_ma,
)
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import Edition, RcdType

LIMITS = limits_for(Edition.A4_2026)
HALF_WAVE_LIMIT_MA = 1.4 * 30  # IEC 61008-1, operating limit of a 30 mA type A device
ANGLES = 2 * np.pi * (np.arange(3600) + 0.5) / 3600


def stepped_swing(core: Core, current_ma: np.ndarray) -> float:
    """Peak-to-peak flux of the play operator followed through three periods, sample by sample."""
    play, flux = 0.0, []
    for index, current in enumerate(np.tile(current_ma, 3)):
        play = max(current - core.half_width_ma, min(current + core.half_width_ma, play))
        if index >= 2 * current_ma.size:
            flux.append(np.tanh(play / core.knee_ma))
    return max(flux) - min(flux)


def sinusoid(rms_ma: float) -> np.ndarray:
    return rms_ma * np.sqrt(2) * np.sin(ANGLES)


def half_wave(rms_ma: float) -> np.ndarray:
    return 2 * rms_ma * np.maximum(np.sin(ANGLES), 0)


@pytest.mark.parametrize("rcd_type", [RcdType.AC, RcdType.A, RcdType.F])
@pytest.mark.parametrize("dc_ma", [0.0, 4.0, 15.0, 30.0])
def test_the_alternating_threshold_is_the_one_found_by_stepping_through_the_loop(rcd_type, dc_ma):
    core = core_of(rcd_type, LIMITS)
    stepped = brentq(lambda rms: stepped_swing(core, sinusoid(rms) + dc_ma) - core.trip_swing, 5, 200, xtol=0.01)
    assert alternating_threshold_ma(core, dc_ma) == pytest.approx(stepped, abs=0.05)


@pytest.mark.parametrize("rcd_type", [RcdType.A, RcdType.F])
@pytest.mark.parametrize("dc_ma", [0.0, 6.0, 15.0])
def test_the_half_wave_threshold_is_the_one_found_by_stepping_through_the_loop(rcd_type, dc_ma):
    core = core_of(rcd_type, LIMITS)
    stepped = brentq(lambda rms: stepped_swing(core, half_wave(rms) + dc_ma) - core.trip_swing, 5, 300, xtol=0.01)
    assert half_wave_threshold_ma(core, dc_ma) == pytest.approx(stepped, abs=0.05)


@pytest.mark.parametrize(("rcd_type", "tolerance_ma"), [(RcdType.A, 6.0), (RcdType.F, 10.0)])
def test_a_just_compliant_core_passes_the_half_wave_limit_the_moment_the_dc_exceeds_its_tolerance(
    rcd_type, tolerance_ma
):
    core = core_of(rcd_type, LIMITS)
    assert stepped_swing(core, half_wave(HALF_WAVE_LIMIT_MA + 0.02) + tolerance_ma) >= core.trip_swing
    assert stepped_swing(core, half_wave(HALF_WAVE_LIMIT_MA) + tolerance_ma + 0.1) < core.trip_swing


@pytest.mark.parametrize("rcd_type", [RcdType.AC, RcdType.A, RcdType.F])
def test_without_direct_current_every_core_trips_between_half_the_rating_and_the_rating(rcd_type):
    assert 15.0 <= alternating_threshold_ma(core_of(rcd_type, LIMITS)) <= 30.0


def test_a_type_a_core_outlasts_6_ma_by_far_before_its_alternating_threshold_exceeds_30_ma():
    core = core_of(RcdType.A, LIMITS)
    dc_ma = dc_that_desensitises_ma(core)
    assert stepped_swing(core, sinusoid(30.0) + dc_ma - 0.1) > core.trip_swing
    assert stepped_swing(core, sinusoid(30.0) + dc_ma + 0.1) < core.trip_swing
    assert 6 * 6 < dc_ma < 60


def test_above_some_direct_current_no_half_wave_trips_a_type_a_core():
    core = core_of(RcdType.A, LIMITS)
    dc_ma = dc_that_silences_half_waves_ma(core)
    assert half_wave_threshold_ma(core, dc_ma + 0.1) is None
    assert stepped_swing(core, half_wave(5000.0) + dc_ma + 0.1) < core.trip_swing
    assert stepped_swing(core, half_wave(5000.0) + dc_ma - 0.1) > core.trip_swing


def test_a_square_loop_never_trips_on_half_waves_of_one_polarity():
    core = core_of(RcdType.AC, LIMITS)
    assert dc_that_silences_half_waves_ma(core) == 0.0
    assert half_wave_threshold_ma(core) is None
    assert stepped_swing(core, half_wave(5000.0)) < core.trip_swing


def test_a_square_loop_loses_its_alternating_sensitivity_before_a_sheared_one():
    square, sheared = (dc_that_desensitises_ma(core_of(kind, LIMITS)) for kind in (RcdType.AC, RcdType.A))
    assert square < sheared


def test_thresholds_only_rise_with_standing_direct_current():
    points = core_curve(core_of(RcdType.A, LIMITS), [0.0, 5.0, 10.0, 20.0, 40.0])
    alternating = [point.alternating_ma for point in points]
    assert alternating == sorted(alternating)
    assert [point.half_wave_ma is None for point in points] == [False, False, False, False, True]


def test_smooth_dc_alone_swings_no_flux():
    core = core_of(RcdType.A, LIMITS)
    assert not core.trips(Waveform.sampled(np.full(360, 300.0)))


def test_standing_direct_current_counts_when_a_waveform_is_asked_about():
    core = core_of(RcdType.A, LIMITS)
    wave = Waveform.sampled(half_wave(45.0))
    assert core.trips(wave)
    assert not core.trips(wave, standing_dc_ma=15.0)


def test_a_type_b_device_has_no_curve_of_this_kind():
    with pytest.raises(UnknownNameError, match="a circuit of its own"):
        core_of(RcdType.B, LIMITS)
