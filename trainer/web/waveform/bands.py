"""The band of a product standard as a drawing: where a device must not act, may, and must, and what flows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits import Limits
from trainer.domain.physics.bands import Band, ResidualRating, alternating_band
from trainer.domain.physics.responses import Function, ResidualCurrent, Response, TripVerdict, band_of
from trainer.domain.vocabulary import RcdType, ResidualDelay
from trainer.services.waveforms import Watched

WIDTH = 240.0
_SPARE = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class BandView:
    """One device's band on a scale from zero: places in pixels, amounts in mA.

    ``is_promised`` is false where the standard promises nothing at this shape of current: the band
    is then drawn as an empty frame. ``beyond`` tells that what flows lies past the end of the scale.
    """

    non_operating_ma: float
    operating_ma: float
    value_ma: float
    may_from: float
    must_from: float
    value_at: float
    beyond: bool
    is_promised: bool


def band_view(band: Band, value_ma: float, *, is_promised: bool = True) -> BandView:
    """A band with what flows, drawn to the scale of the band."""
    end = _SPARE * max(band.operating_ma, min(value_ma, 2 * band.operating_ma))
    return BandView(
        non_operating_ma=band.non_operating_ma,
        operating_ma=band.operating_ma,
        value_ma=value_ma,
        may_from=round(WIDTH * band.non_operating_ma / end, 1),
        must_from=round(WIDTH * band.operating_ma / end, 1),
        value_at=round(min(WIDTH * value_ma / end, WIDTH - 2.0), 1),
        beyond=value_ma > end,
        is_promised=is_promised,
    )


def residual_band(rating: ResidualRating, current: ResidualCurrent, response: Response, limits: Limits) -> BandView:
    """The band of a residual current device at a current.

    Where nothing is promised at this current, its band for 50 Hz stands as the empty frame.
    """
    if response.verdict is not TripVerdict.NOT_REQUIRED:
        return band_view(band_of(rating, current, limits), response.residual_current_ma)
    return band_view(alternating_band(rating, limits.devices), response.residual_current_ma, is_promised=False)


def detector_band(current: ResidualCurrent, response: Response, limits: Limits) -> BandView | None:
    """The band of a d.c. detector over the smooth part of the current."""
    if response.function is not Function.DIRECT_CURRENT or response.limit_ma is None:
        return None
    least = limits.devices.direct_current_detection["non_operating"].value
    return band_view(Band(least, response.limit_ma), current.smooth_ma + response.standing_dc_ma)


def bands_of(watched: Watched, current: ResidualCurrent, limits: Limits) -> Mapping[str, BandView]:
    """The bands of all that is watched, by the names of its responses."""
    device = watched.device
    views: dict[str, BandView] = {}
    for name, response in watched.responses.items():
        if name in {kind.value for kind in RcdType}:
            rating = ResidualRating(
                rcd_type=RcdType(name),
                rated_residual_operating_current_ma=device.rated_residual_operating_current_ma,
                delay=device.delay or ResidualDelay.GENERAL,
            )
            view: BandView | None = residual_band(rating, current, response, limits)
        else:
            view = detector_band(current, response, limits)
        if view is not None:
            views[name] = view
    return views
