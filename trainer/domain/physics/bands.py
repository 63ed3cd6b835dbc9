"""The band of residual current in which a device may, and from which it must, act."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from trainer.domain.devices import Device
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.limits.devices import DeviceLimits
from trainer.domain.limits.loading import Table
from trainer.domain.vocabulary import RcdType, ResidualDelay


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualRating:
    """What the product standard needs to know of a residual current device.

    *Raises* OutOfRangeError when the rated residual operating current is not above zero.
    """

    rcd_type: RcdType
    rated_residual_operating_current_ma: float = 30.0
    delay: ResidualDelay = ResidualDelay.GENERAL

    def __post_init__(self) -> None:
        if not self.rated_residual_operating_current_ma > 0:
            raise OutOfRangeError(
                Problem(
                    path="rated_residual_operating_current_ma",
                    value=self.rated_residual_operating_current_ma,
                    problem="the rated residual operating current must be above zero",
                    possible=("6", "10", "30", "100", "300", "500"),
                    nearest="6",
                )
            )


def rating_of(device: Device) -> ResidualRating | None:
    """The rating of an RCCB or RCBO, or None for other devices and where type or rating is not known."""
    if not device.detects_residual_current or device.rcd_type is None:
        return None
    if device.rated_residual_operating_current_ma is None:
        return None
    return ResidualRating(
        rcd_type=device.rcd_type,
        rated_residual_operating_current_ma=device.rated_residual_operating_current_ma,
        delay=device.residual_delay or ResidualDelay.GENERAL,
    )


class Band(NamedTuple):
    """Below ``non_operating_ma`` a device must not act, from ``operating_ma`` on it must."""

    non_operating_ma: float
    operating_ma: float


@lru_cache(maxsize=512)
def alternating_band(rating: ResidualRating, limits: DeviceLimits) -> Band:
    """The band for sinusoidal residual current of 50 Hz, r.m.s.: 0.5 to 1 times the rating."""
    return _band(limits.alternating_bands, rating, "sinusoidal_50_hz")


@lru_cache(maxsize=512)
def pulsating_band(rating: ResidualRating, delay_angle_deg: float, limits: DeviceLimits) -> Band:
    """The band for pulsating direct current, r.m.s., of a half-wave cut at the delay angle.

    The non-operating limit falls with the delay angle; between the tested angles the lower one
    counts. The operating limit is 1.4 times the rating, 2 times for ratings up to 10 mA.
    """
    rated_ma = rating.rated_residual_operating_current_ma
    rows = limits.pulsating_bands.rows
    angle = next((a for a in (0, 90) if delay_angle_deg <= a + 1.0), 135)
    size = "small" if rated_ma <= limits.small_rating_ma.value else "above_small"
    return Band(rows["any", str(angle), "non_operating"] * rated_ma, rows[size, "any", "operating"] * rated_ma)


@lru_cache(maxsize=512)
def composite_band(rating: ResidualRating, limits: DeviceLimits) -> Band:
    """The band of types F and B for composite residual current, r.m.s. *Raises* KeyError for others."""
    return _band(limits.composite_and_dc_bands, rating, "composite")


@lru_cache(maxsize=512)
def smooth_dc_band(rating: ResidualRating, limits: DeviceLimits) -> Band:
    """The band of type B for smooth direct current of either polarity. *Raises* KeyError for others."""
    return _band(limits.composite_and_dc_bands, rating, "smooth_dc")


@lru_cache(maxsize=512)
def rectified_band(rating: ResidualRating, limits: DeviceLimits) -> Band:
    """The band of type B for current rectified from two or more lines. *Raises* KeyError for others."""
    return _band(limits.composite_and_dc_bands, rating, "rectified_from_lines")


def frequency_band(rating: ResidualRating, frequency_hz: float, limits: DeviceLimits) -> Band | None:
    """The band of type B for sinusoidal current above 50 Hz, None beyond its highest frequency.

    Between the tested frequencies the wider of the two neighbouring bands counts.
    """
    below = alternating_band(rating, limits)
    for tested_hz in (150.0, 400.0, limits.type_b_highest_frequency_hz.value):
        above = _band(limits.composite_and_dc_bands, rating, f"sinusoidal_{tested_hz:g}_hz")
        if frequency_hz <= tested_hz:
            lower = below.non_operating_ma if frequency_hz < tested_hz else above.non_operating_ma
            return Band(lower, above.operating_ma)
        below = above
    return None


def smooth_dc_type_b_bears_ma(rating: ResidualRating, limits: DeviceLimits) -> float:
    """Smooth d.c. on which type B still detects the rest: the greater of 0.4 times the rating and 10 mA."""
    share_ma = limits.smooth_dc_share_type_b.value * rating.rated_residual_operating_current_ma
    return max(share_ma, limits.smooth_dc_floor_type_b_ma.value)


def _band(table: Table, rating: ResidualRating, waveform: str) -> Band:
    key = (rating.rcd_type.value, waveform)
    rated_ma = rating.rated_residual_operating_current_ma
    return Band(
        table.rows[*key, "non_operating"] * rated_ma,
        table.rows[*key, "operating"] * rated_ma,
    )
