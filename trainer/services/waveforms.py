"""A residual current watched: its shape, its class, and what each device makes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from trainer.domain.errors import OutOfRangeError, Problem, UnknownNameError, unknown
from trainer.domain.limits import limits_for
from trainer.domain.physics.bands import ResidualRating
from trainer.domain.physics.classification import ResidualClass, classify, least_type, worst_fault
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, FrontEndEntry, FrontEndParameters, waveform
from trainer.domain.physics.responses import Response, residual_current_of, residual_response
from trainer.domain.physics.responses_direct_current import direct_current_response, monitoring_response
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, FrontEnd, RcdType, ResidualDelay

DETECTOR, MONITORING = "RDC-DD", "IEC 62109-2"
LARGEST_STANDING_DC_MA = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """The residual current device that is watched."""

    rated_residual_operating_current_ma: float = 30.0
    delay: ResidualDelay = ResidualDelay.GENERAL
    standing_dc_ma: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """A residual current and the responses to it, by type or kind of device."""

    front_end: FrontEndEntry
    fault_point: FaultPoint
    parameters: Mapping[str, float]
    device: Device
    waveform: Waveform
    residual_class: ResidualClass
    least_type: RcdType
    responses: Mapping[str, Response]


def entry_of(name: str) -> FrontEndEntry:
    """The front end of that id. *Raises* UnknownNameError with the nearest."""
    ids = [each.value for each in FRONT_ENDS]
    if name not in ids:
        raise UnknownNameError(unknown("front_end", name, ids, "front end"))
    return FRONT_ENDS[FrontEnd(name)]


def fault_point_of(entry: FrontEndEntry, name: str) -> FaultPoint:
    """The fault point of that id; by default the one that asks for the highest type. *Raises* UnknownNameError."""
    if not name:
        return worst_fault(entry.front_end, FrontEndParameters()).fault_point
    ids = [each.value for each in entry.fault_points]
    if name not in ids:
        raise UnknownNameError(unknown("fault", name, ids, f"fault point of {entry.front_end}"))
    return FaultPoint(name)


def parameters_of(entry: FrontEndEntry, given: Mapping[str, float]) -> FrontEndParameters:
    """The quantities by name. *Raises* UnknownNameError for what the front end does not have."""
    names = [each.name for each in entry.parameters]
    strange = [unknown(name, name, names, f"quantity of {entry.front_end}") for name in given if name not in names]
    if strange:
        raise UnknownNameError(*strange)
    whole = {name for name in given if name.endswith("_periods")}
    values: dict[str, Any] = {name: int(value) if name in whole else value for name, value in given.items()}
    return replace(FrontEndParameters(), **values)


def watch(
    front_end: str,
    fault: str = "",
    given: Mapping[str, float] | None = None,
    device: Device | None = None,
    edition: Edition = DEFAULT_EDITION,
) -> Watched:
    """Compute a residual current and ask every kind of device about it.

    *Raises* UnknownNameError, FrontEndError, OutOfRangeError.
    """
    entry = entry_of(front_end)
    point = fault_point_of(entry, fault)
    quantities = dict(given or {})
    current = waveform(entry.front_end, point, parameters_of(entry, quantities))
    watched = device or Device()
    if not 0 <= watched.standing_dc_ma <= LARGEST_STANDING_DC_MA:
        raise OutOfRangeError(
            Problem(
                path="standing_dc_ma",
                value=watched.standing_dc_ma,
                problem=f"must be from 0 to {LARGEST_STANDING_DC_MA:g} mA",
                nearest="0" if watched.standing_dc_ma < 0 else f"{LARGEST_STANDING_DC_MA:g}",
            )
        )
    rated = watched.rated_residual_operating_current_ma
    return Watched(
        front_end=entry,
        fault_point=point,
        parameters={each.name: quantities.get(each.name, each.default) for each in entry.parameters},
        device=watched,
        waveform=current,
        residual_class=classify(current, rated, standing_dc_ma=watched.standing_dc_ma),
        least_type=least_type(current, rated, standing_dc_ma=watched.standing_dc_ma),
        responses=_responses(current, watched, edition),
    )


def _responses(current: Waveform, device: Device, edition: Edition) -> dict[str, Response]:
    limits = limits_for(edition)
    figures = residual_current_of(current, device.rated_residual_operating_current_ma)
    found: dict[str, Response] = {}
    for kind in RcdType:
        rating = ResidualRating(
            rcd_type=kind,
            rated_residual_operating_current_ma=device.rated_residual_operating_current_ma,
            delay=device.delay,
        )
        found[kind.value] = residual_response(rating, figures, limits, standing_dc_ma=device.standing_dc_ma)
    found[DETECTOR] = direct_current_response(figures, limits, standing_dc_ma=device.standing_dc_ma)
    found[MONITORING] = monitoring_response(figures, limits, sudden=True)
    return found
