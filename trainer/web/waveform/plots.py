"""Curves as points of a drawing: plain geometry, rounded, no library."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.physics.core import CurvePoint
from trainer.domain.physics.waveform import Waveform
from trainer.services.waveforms import Watched

WIDTH, HEIGHT = 640.0, 260.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 8.0, 10.0, 28.0
_STEPS = (1.0, 2.0, 5.0, 10.0)
_CORE_TOP_MA = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis: where its marks stand and what they say."""

    marks: tuple[tuple[float, str], ...]
    zero: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A drawing of curves in a frame."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    across: Axis
    up: Axis
    curves: Mapping[str, str]
    levels: Mapping[str, float]


def current_plot(watched: Watched) -> Plot:
    """The residual current that is watched, with the standing d.c. as a level of its own."""
    return waveform_plot(watched.waveform, watched.device.standing_dc_ma)


def waveform_plot(current: Waveform, dc_ma: float = 0.0) -> Plot:
    """A residual current over one or more periods, lifted by the standing d.c."""
    values = (current.residual_current_ma + dc_ma).tolist()
    low, high = min(0.0, *values), max(0.0, *values)
    frame = _Frame(0.0, current.duration_s * 1000.0, *_widened(low, high))
    points = zip((current.time_s * 1000.0).tolist(), values, strict=True)
    return frame.plot({"current": list(points)}, {"standing_dc": dc_ma} if dc_ma else {})


def core_plot(cores: Mapping[str, Sequence[CurvePoint]]) -> Plot:
    """The sinusoidal current that trips each core, over standing d.c., up to 60 mA."""
    frame = _Frame(0.0, max(point.standing_dc_ma for curve in cores.values() for point in curve), 0.0, _CORE_TOP_MA)
    curves = {
        name: [(p.standing_dc_ma, p.alternating_ma) for p in curve if p.alternating_ma <= _CORE_TOP_MA]
        for name, curve in cores.items()
    }
    return frame.plot(curves, {"rating": 30.0})


def _widened(low: float, high: float) -> tuple[float, float]:
    room = 0.06 * (high - low) or 1.0
    return low - (room if low < 0 else 0.0), high + (room if high > 0 else 0.0)


@dataclass(frozen=True, slots=True)
class _Frame:
    """The values that the frame spans."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        return round(_LEFT + (value - self.x_low) / (self.x_high - self.x_low) * (WIDTH - _LEFT - _RIGHT), 1)

    def y(self, value: float) -> float:
        return round(
            HEIGHT - _BOTTOM - (value - self.y_low) / (self.y_high - self.y_low) * (HEIGHT - _TOP - _BOTTOM), 1
        )

    def plot(self, curves: Mapping[str, Sequence[tuple[float, float]]], levels: Mapping[str, float]) -> Plot:
        return Plot(
            width=WIDTH,
            height=HEIGHT,
            left=_LEFT,
            right=WIDTH - _RIGHT,
            top=_TOP,
            bottom=HEIGHT - _BOTTOM,
            across=Axis(
                marks=tuple((self.x(v), f"{v:g}") for v in _marks(self.x_low, self.x_high)), zero=self.x(self.x_low)
            ),
            up=Axis(
                marks=tuple((self.y(v), f"{v:g}") for v in _marks(self.y_low, self.y_high)),
                zero=self.y(max(0.0, self.y_low)),
            ),
            curves={name: " ".join(f"{self.x(x)},{self.y(y)}" for x, y in points) for name, points in curves.items()},
            levels={name: self.y(value) for name, value in levels.items()},
        )


def _marks(low: float, high: float) -> list[float]:
    """Round values at even steps, four to ten of them."""
    magnitude = 10.0 ** (len(f"{int(max(high - low, 1.0))}") - 2)
    step = next(each * magnitude for each in (*_STEPS, 20.0, 50.0, 100.0) if (high - low) / (each * magnitude) <= 8.0)
    first = int(low / step) - 1
    values = [number * step for number in range(first, first + 14)]
    return [value for value in values if low <= value <= high]
