"""Every device on a path asked for its response: those in the boards, and those inside equipment."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from trainer.domain.devices import Device
from trainer.domain.equipment import Charger, Equipment
from trainer.domain.faults.places import is_of_source
from trainer.domain.faults.standing import Standing
from trainer.domain.faults.walk import Place, WalkKind
from trainer.domain.limits import Limits
from trainer.domain.physics.bands import ResidualRating, rating_of
from trainer.domain.physics.responses import (
    Reason,
    ResidualCurrent,
    Response,
    TripVerdict,
    residual_response,
)
from trainer.domain.physics.responses_direct_current import direct_current_response, monitoring_response
from trainer.domain.vocabulary import Stated

CurrentAt = Callable[[float], ResidualCurrent]
"""The fault current as a device of a rated residual operating current in mA classes it."""

DEFAULT_RATING_MA = 30.0
_VA_PER_KVA = 1000.0


def board_responses(device: Device, current_at: CurrentAt, standing: Standing, limits: Limits) -> Iterator[Response]:
    """The responses of a device in a board to residual current: its own, and that of a d.c. detector in it."""
    if not device.detects_residual_current:
        return
    rating = rating_of(device)
    current = current_at(DEFAULT_RATING_MA if rating is None else rating.rated_residual_operating_current_ma)
    if rating is None:
        yield Response(
            device=device.id,
            verdict=TripVerdict.NOT_REQUIRED,
            reason=Reason.DEVICE_UNKNOWN,
            residual_current_ma=current.rms_ma + standing.ac_ma,
            standing_dc_ma=standing.dc_ma,
        )
    else:
        response = residual_response(
            rating, current, limits, standing_dc_ma=standing.dc_ma, standing_ac_ma=standing.ac_ma
        )
        yield replace(response, device=device.id)
    if device.direct_current_detection_ma is not None:
        detection = direct_current_response(
            current, limits, standing_dc_ma=standing.dc_ma, operating_ma=device.direct_current_detection_ma
        )
        yield replace(detection, device=device.id)


def equipment_responses(
    item: Equipment, place: Place, kind: WalkKind, current_at: CurrentAt, limits: Limits
) -> Iterator[Response]:
    """The responses of what stands inside equipment: built-in device, d.c. detection, monitoring."""
    rating = built_in_rating(item)
    if rating is not None:
        response = residual_response(rating, current_at(rating.rated_residual_operating_current_ma), limits)
        yield replace(response, device=inner_id(item, "built_in_rcd"))
    current = current_at(DEFAULT_RATING_MA)
    if item.charger is not None and detects_direct_current(item.charger):
        threshold_ma = item.charger.direct_current_detection_ma
        detection = direct_current_response(current, limits, operating_ma=threshold_ma)
        yield replace(detection, device=inner_id(item, "direct_current_detection"))
    if item.source is not None and item.source.residual_monitoring and is_of_source(place):
        monitoring = monitoring_response(
            current,
            limits,
            sudden=kind is not WalkKind.RESISTIVE,
            rated_kva=(item.rated_power_w or 0.0) / _VA_PER_KVA,
        )
        yield replace(monitoring, device=inner_id(item, "residual_monitoring"))


def inner_id(item: Equipment, what: str) -> str:
    """The path of a device inside equipment, as findings name records."""
    return f"equipment.{item.id}.{what}"


def built_in_rating(item: Equipment) -> ResidualRating | None:
    """The rating of the residual current device that the data sheet of equipment names."""
    own = item.built_in_rcd
    if own is None:
        return None
    return ResidualRating(
        rcd_type=own.rcd_type,
        rated_residual_operating_current_ma=own.rated_residual_operating_current_ma,
    )


def detects_direct_current(charger: Charger) -> bool:
    """True when the sheet names detection of direct current; a silent sheet names none."""
    return charger.direct_current_detection is Stated.YES
