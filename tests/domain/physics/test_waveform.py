from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.domain.errors import OutOfRangeError
from trainer.domain.physics.waveform import Samples, Waveform, half_step_times


def of_angle(values_ma: Samples, periods: int = 1) -> Waveform:
    return Waveform.sampled(values_ma, periods=periods)


def sine(samples: int = 360, periods: int = 1) -> Samples:
    return np.sin(2.0 * math.pi * 50.0 * half_step_times(periods / 50.0, samples * periods))


def half_wave(samples: int = 360) -> Samples:
    return np.maximum(sine(samples), 0.0)


def test_samples_stand_at_half_steps_so_that_commutations_fall_between_them() -> None:
    assert half_step_times(0.02, 4).tolist() == pytest.approx([0.0025, 0.0075, 0.0125, 0.0175])


def test_a_half_wave_has_the_mean_and_rms_of_its_integrals() -> None:
    """Source: hand integration, mean 1/pi and r.m.s. 1/2 of the peak."""
    current = of_angle(30.0 * half_wave())
    assert current.mean_ma == pytest.approx(30.0 / math.pi, rel=2e-5)
    assert current.rms_ma == pytest.approx(15.0, rel=1e-9)
    assert (current.minimum_ma, current.peak_ma) == (0.0, current.maximum_ma)


def test_the_spectrum_of_a_half_wave_is_its_fourier_series() -> None:
    """Source: Fourier series, peak values 1/2 at 50 Hz and 2/(pi (n^2 - 1)) at the even multiples n."""
    lines = of_angle(half_wave(3600)).spectrum()
    assert lines[0].frequency_hz == pytest.approx(50.0)
    assert lines[0].rms_ma == pytest.approx(0.5 / math.sqrt(2.0), rel=1e-6)
    for line in lines[1:6]:
        order = line.frequency_hz / 50.0
        assert order == pytest.approx(round(order))
        assert round(order) % 2 == 0
        assert line.rms_ma == pytest.approx(2.0 / (math.pi * (order**2 - 1.0)) / math.sqrt(2.0), rel=1e-3)


def test_the_lines_of_a_spectrum_and_the_mean_hold_all_of_the_rms_value() -> None:
    """Source: Parseval's theorem."""
    current = of_angle(half_wave())
    total = math.sqrt(current.mean_ma**2 + math.fsum(line.rms_ma**2 for line in current.spectrum(minimum_share=0.0)))
    assert total == pytest.approx(current.rms_ma, rel=1e-9)


def test_a_half_wave_rests_for_180_degrees_and_a_sine_not_at_all() -> None:
    assert of_angle(half_wave()).zero_interval_deg() == 180.0
    assert of_angle(sine()).zero_interval_deg() == 0.0


def test_a_current_within_the_tolerance_counts_as_zero() -> None:
    lifted = of_angle(84.0 * half_wave()).plus_dc(5.0)
    assert lifted.zero_interval_deg(4.9) == 0.0
    # 84 mA sin x + 5 mA stays below 6 mA for another 0.68 degrees on either side.
    assert lifted.zero_interval_deg(6.0) == pytest.approx(181.4, abs=1.0)


def test_an_interval_may_run_over_the_end_of_a_period() -> None:
    assert of_angle(np.roll(half_wave(), 250)).zero_interval_deg() == 180.0


def test_the_period_with_the_shortest_rest_decides() -> None:
    two = np.concatenate((half_wave(), sine()))
    assert of_angle(two, periods=2).zero_interval_deg() == 0.0


def test_no_current_rests_all_the_time() -> None:
    nothing = of_angle(np.zeros(36))
    assert nothing.zero_interval_deg() == 360.0
    assert nothing.spectrum() == ()


def test_scaling_and_standing_direct_current_do_not_touch_the_original() -> None:
    original = of_angle(sine())
    changed = original.scaled(2.0).plus_dc(3.0)
    assert changed.mean_ma == pytest.approx(3.0)
    assert changed.maximum_ma == pytest.approx(2.0 * original.maximum_ma + 3.0)
    assert original.mean_ma == pytest.approx(0.0, abs=1e-12)


def test_samples_cannot_be_changed_and_the_array_given_stays_writable() -> None:
    values = sine()
    current = Waveform(time_s=half_step_times(0.02, 360), residual_current_ma=values, duration_s=0.02)
    with pytest.raises(ValueError, match="read-only"):
        current.residual_current_ma[0] = 1.0
    assert values.flags.writeable


@pytest.mark.parametrize(
    ("values", "duration_s", "path"),
    [
        (np.zeros(4), 0.02, "residual_current_ma"),
        (np.full(36, np.nan), 0.02, "residual_current_ma"),
        (np.zeros(36), 0.03, "duration_s"),
        (np.zeros(37), 0.04, "duration_s"),
    ],
)
def test_samples_that_span_no_whole_periods_are_refused(values: Samples, duration_s: float, path: str) -> None:
    with pytest.raises(OutOfRangeError) as refusal:
        Waveform(time_s=half_step_times(duration_s, values.size), residual_current_ma=values, duration_s=duration_s)
    assert refusal.value.problems[0].path == path
