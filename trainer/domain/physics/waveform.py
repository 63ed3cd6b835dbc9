"""A residual current over whole periods of the supply, and what can be read from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from trainer.domain.errors import OutOfRangeError, Problem

Samples = NDArray[np.float64]

FUNDAMENTAL_HZ = 50.0
"""Frequency of the supply."""

_ZERO_SHARE = 1e-3
"""Part of the peak below which a sample counts as zero when no tolerance is given."""

_LINE_SHARE = 1e-3
"""Part of the r.m.s. value below which a spectrum line is left out."""

_TINY_MA = 1e-9


class SpectrumLine(NamedTuple):
    """One a.c. line of a spectrum."""

    frequency_hz: float
    rms_ma: float


def half_step_times(duration_s: float, count: int) -> Samples:
    """Sample times t_k = (k + 1/2) duration / count in s, shape (count,).

    Half steps keep samples off the commutations, which fall on whole degrees.
    """
    return (np.arange(count, dtype=np.float64) + 0.5) * (duration_s / count)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waveform:
    """A periodic residual current in mA, sampled at half steps over whole 50 Hz periods.

    ``time_s`` and ``residual_current_ma`` have shape (n,) and are read-only; n is a multiple of
    the number of 50 Hz periods in ``duration_s``. Positive current flows from the installation
    to earth.

    *Raises* OutOfRangeError when shapes, duration or values do not fit together.
    """

    time_s: Samples
    residual_current_ma: Samples
    duration_s: float
    fundamental_hz: float = FUNDAMENTAL_HZ

    def __post_init__(self) -> None:
        problems = tuple(_problems(self))
        if problems:
            raise OutOfRangeError(*problems)
        for name in ("time_s", "residual_current_ma"):
            view = getattr(self, name).view()
            view.flags.writeable = False
            object.__setattr__(self, name, view)

    @classmethod
    def sampled(cls, residual_current_ma: Samples, *, periods: int = 1) -> Waveform:
        """The waveform of n half-step samples, shape (n,), that span ``periods`` 50 Hz periods."""
        duration_s = periods / FUNDAMENTAL_HZ
        values = np.array(residual_current_ma, dtype=np.float64)
        return cls(
            time_s=half_step_times(duration_s, values.size),
            residual_current_ma=values,
            duration_s=duration_s,
        )

    @property
    def periods(self) -> int:
        """Number of 50 Hz periods."""
        return round(self.duration_s * self.fundamental_hz)

    @property
    def samples_per_period(self) -> int:
        """Number of samples in one 50 Hz period."""
        return self.residual_current_ma.size // self.periods

    @property
    def mean_ma(self) -> float:
        """Mean value, the d.c. component: (1/T) integral of i dt."""
        return float(np.mean(self.residual_current_ma))

    @property
    def rms_ma(self) -> float:
        """Root of the mean square: sqrt((1/T) integral of i^2 dt)."""
        return math.sqrt(float(np.mean(np.square(self.residual_current_ma))))

    @property
    def minimum_ma(self) -> float:
        """Lowest sample."""
        return float(self.residual_current_ma.min())

    @property
    def maximum_ma(self) -> float:
        """Highest sample."""
        return float(self.residual_current_ma.max())

    @property
    def peak_ma(self) -> float:
        """Greatest magnitude."""
        return max(abs(self.minimum_ma), abs(self.maximum_ma))

    def zero_interval_deg(self, tolerance_ma: float | None = None) -> float:
        """Longest interval at zero in degrees of 50 Hz, in the period where it is shortest; 0 to 360.

        A sample is at zero when |i| <= tolerance_ma (by default 0.1 % of the peak). An interval
        may run over the end of a period; the waveform repeats for ever.
        """
        if self.peak_ma <= _TINY_MA:
            return 360.0
        tolerance = self.peak_ma * _ZERO_SHARE if tolerance_ma is None else tolerance_ma
        at_zero = np.abs(self.residual_current_ma) <= tolerance
        runs = _run_lengths(at_zero).reshape(self.periods, -1)
        return min(360.0, float(runs.max(axis=1).min()) * 360.0 / self.samples_per_period)

    def spectrum(self, *, minimum_share: float = _LINE_SHARE) -> tuple[SpectrumLine, ...]:
        """Lines above 0 Hz, by frequency, whose r.m.s. exceeds ``minimum_share`` of the total r.m.s.

        I_k = sqrt(2) |sum_n i_n exp(-j 2 pi k n / N)| / N at the frequency k / duration.
        """
        count = self.residual_current_ma.size
        rms_ma = np.abs(np.fft.rfft(self.residual_current_ma)) * (math.sqrt(2.0) / count)
        if count % 2 == 0:
            rms_ma[-1] /= math.sqrt(2.0)
        rms_ma[0] = 0.0
        kept = np.flatnonzero(rms_ma > max(self.rms_ma * minimum_share, _TINY_MA))
        return tuple(SpectrumLine(k / self.duration_s, float(rms_ma[k])) for k in kept.tolist())

    def scaled(self, factor: float) -> Waveform:
        """The same shape with every value multiplied by ``factor``."""
        return self._with(self.residual_current_ma * factor)

    def plus_dc(self, dc_ma: float) -> Waveform:
        """The same waveform on a smooth direct current of ``dc_ma``."""
        return self._with(self.residual_current_ma + dc_ma)

    def _with(self, residual_current_ma: Samples) -> Waveform:
        return Waveform(
            time_s=self.time_s,
            residual_current_ma=residual_current_ma,
            duration_s=self.duration_s,
            fundamental_hz=self.fundamental_hz,
        )


def _problems(waveform: Waveform) -> list[Problem]:
    values = waveform.residual_current_ma
    if values.ndim != 1 or values.size < 8 or values.shape != waveform.time_s.shape:
        text = "needs at least 8 samples in one row, one for each time"
        return [Problem(path="residual_current_ma", value=str(values.shape), problem=text)]
    if not bool(np.isfinite(values).all()):
        return [Problem(path="residual_current_ma", problem="holds a value that is not a finite number")]
    periods = waveform.duration_s * waveform.fundamental_hz
    if periods < 0.5 or abs(periods - round(periods)) > 1e-6 or values.size % round(periods):
        return [
            Problem(
                path="duration_s",
                value=waveform.duration_s,
                problem="a waveform spans whole 50 Hz periods with the same number of samples in each",
                nearest=f"{max(1, round(periods)) / waveform.fundamental_hz:g}",
            )
        ]
    return []


def _run_lengths(at_zero: NDArray[np.bool_]) -> NDArray[np.int64]:
    """For each sample of a cyclic row, the length of the run of True it lies in, 0 where False."""
    count = at_zero.size
    if bool(at_zero.all()):
        return np.full(count, count, dtype=np.int64)
    start = int(np.flatnonzero(~at_zero)[0])
    turned = np.roll(at_zero, -start)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], turned, [False])).astype(np.int8)))
    lengths = np.zeros(count, dtype=np.int64)
    runs = edges[1::2] - edges[::2]
    lengths[turned] = np.repeat(runs, runs)
    return np.roll(lengths, start)
