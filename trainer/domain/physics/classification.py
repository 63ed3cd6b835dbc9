"""Classes of residual current by the standards' definitions, and the least type that must detect them.

This is the route from the waveform. The rule book has its own table from front end to least type
and takes nothing from here, so that the two can be compared.
"""

from __future__ import annotations

import math
from dataclasses import replace
from enum import StrEnum
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np

from trainer.domain.limits.loading import load_group
from trainer.domain.limits.waveform_classification import WaveformClassificationLimits
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, FrontEndParameters
from trainer.domain.physics.front_ends import waveform as residual_current
from trainer.domain.physics.waveform import FUNDAMENTAL_HZ, Waveform
from trainer.domain.vocabulary import DEFAULT_EDITION, FrontEnd, RcdType

REFERENCE_RATING_MA = 30.0
"""Rated residual operating current at which shapes are judged unless another is given."""

_NO_CURRENT_MA = 1e-6


class ResidualClass(StrEnum):
    """Kinds of residual current that the product standards tell apart (IEC TR 60755)."""

    ALTERNATING = "alternating"
    PULSATING_DC = "pulsating_dc"
    PULSATING_ON_SMOOTH_DC = "pulsating_on_smooth_dc"
    SMOOTH_DC = "smooth_dc"
    COMPOSITE = "composite"


@cache
def classification_limits() -> WaveformClassificationLimits:
    """The thresholds with their citations. Product standards set them, so no edition changes them."""
    return load_group(WaveformClassificationLimits, "waveform_classification", DEFAULT_EDITION)


def classify(
    waveform: Waveform,
    rated_residual_operating_current_ma: float = REFERENCE_RATING_MA,
    *,
    standing_dc_ma: float = 0.0,
) -> ResidualClass:
    """The class of a residual current, judged at 1.4 times the rated residual operating current.

    The waveform is scaled to that r.m.s. value, then the standing direct current is added as it
    is. Composite is asked first, then whether there is a mean, a zero interval, a ripple. No
    current at all is alternating: it holds no direct current.

    *Source*: IEC TR 60755; thresholds and their status in ``waveform_classification.toml``.
    """
    limits = classification_limits()
    if waveform.rms_ma <= _NO_CURRENT_MA:
        return ResidualClass.SMOOTH_DC if standing_dc_ma else ResidualClass.ALTERNATING
    if _share_between_periods(waveform) > limits.composite_share.value:
        return ResidualClass.COMPOSITE
    scaled = _at_reference(waveform, rated_residual_operating_current_ma).plus_dc(standing_dc_ma)
    if abs(scaled.mean_ma) <= limits.alternating_mean_share.value * scaled.rms_ma:
        return ResidualClass.ALTERNATING
    if _rests(scaled, limits.pulsating_zero_current_ma.value):
        return ResidualClass.PULSATING_DC
    ripple_ma = math.sqrt(max(0.0, scaled.rms_ma**2 - scaled.mean_ma**2))
    if ripple_ma <= limits.smooth_ripple_share.value * abs(scaled.mean_ma):
        return ResidualClass.SMOOTH_DC
    return ResidualClass.PULSATING_ON_SMOOTH_DC


def least_type(
    waveform: Waveform,
    rated_residual_operating_current_ma: float = REFERENCE_RATING_MA,
    *,
    standing_dc_ma: float = 0.0,
) -> RcdType:
    """The least type of residual current device that must detect the waveform.

    The type for its shape, and one that still works on the standing direct current. Type AC where
    no current flows: nothing asks for more.

    *Source*: IEC 62873-2 (types and superimposed direct current).
    """
    by_shape = _type_for_shape(waveform, rated_residual_operating_current_ma)
    return max(by_shape, _type_for_dc(standing_dc_ma), key=lambda kind: kind.rank)


class WorstFault(NamedTuple):
    """The fault of an equipment that asks for the highest type."""

    fault_point: FaultPoint
    output_frequency_hz: float | None
    residual_class: ResidualClass
    least_type: RcdType


def least_type_of_equipment(front_end: FrontEnd, parameters: FrontEndParameters | None = None) -> RcdType:
    """The least type that must detect every fault of a front end, whatever its output frequency.

    *Raises* FrontEndError when the quantities do not go together.
    """
    return worst_fault(front_end, parameters or FrontEndParameters()).least_type


OUTPUT_FREQUENCIES_HZ = tuple(float(hertz) for hertz in range(10, 61, 5))
"""Output frequencies tried; a test compares them with every whole hertz."""


@lru_cache(maxsize=512)
def worst_fault(front_end: FrontEnd, parameters: FrontEndParameters) -> WorstFault:
    """The fault point and output frequency that ask for the highest type; the first among equals.

    *Raises* FrontEndError when the quantities do not go together.
    """
    found = [
        WorstFault(point, hertz, classify(current), least_type(current))
        for point in FRONT_ENDS[front_end].fault_points
        for hertz in _output_frequencies(front_end, point)
        for current in [residual_current(front_end, point, _at_frequency(parameters, hertz))]
    ]
    return max(found, key=lambda fault: fault.least_type.rank)


def _output_frequencies(front_end: FrontEnd, point: FaultPoint) -> tuple[float | None, ...]:
    has_output = FRONT_ENDS[front_end].parameter("output_frequency_hz") is not None
    return OUTPUT_FREQUENCIES_HZ if has_output and point is FaultPoint.INVERTER_OUTPUT else (None,)


def _at_frequency(parameters: FrontEndParameters, hertz: float | None) -> FrontEndParameters:
    return parameters if hertz is None else replace(parameters, output_frequency_hz=hertz)


def _type_for_shape(waveform: Waveform, rated_ma: float) -> RcdType:
    limits = classification_limits()
    match classify(waveform, rated_ma):
        case ResidualClass.ALTERNATING:
            return RcdType.AC if _is_mains_frequency(waveform) else RcdType.B
        case ResidualClass.COMPOSITE:
            scaled = _at_reference(waveform, rated_ma)
            tolerated_ma = limits.superimposed_smooth_dc_ma[RcdType.F].value
            return RcdType.F if abs(scaled.mean_ma) <= tolerated_ma and _holds_mains(waveform) else RcdType.B
        case ResidualClass.PULSATING_DC:
            return RcdType.A if _peaks_like_half_wave(waveform) else RcdType.B
        case ResidualClass.PULSATING_ON_SMOOTH_DC if _peaks_like_half_wave(waveform):
            scaled = _at_reference(waveform, rated_ma)
            return RcdType.F if _rests(scaled, limits.superimposed_smooth_dc_ma[RcdType.F].value) else RcdType.B
        case _:
            return RcdType.B


def _type_for_dc(standing_dc_ma: float) -> RcdType:
    """The least type that still works on a standing direct current; type B detects it."""
    tolerated = classification_limits().superimposed_smooth_dc_ma
    fitting = (kind for kind in (RcdType.AC, RcdType.A, RcdType.F) if abs(standing_dc_ma) <= tolerated[kind].value)
    return next(fitting, RcdType.B)


def _at_reference(waveform: Waveform, rated_ma: float) -> Waveform:
    return waveform.scaled(classification_limits().shape_multiple.value * rated_ma / waveform.rms_ma)


def _rests(waveform: Waveform, zero_ma: float) -> bool:
    """True when every period has one interval long enough within ``zero_ma`` of zero."""
    needed_deg = classification_limits().pulsating_zero_interval_deg.value
    return waveform.zero_interval_deg(zero_ma) >= needed_deg


def _peaks_like_half_wave(waveform: Waveform) -> bool:
    least = classification_limits().pulsating_crest_factor_minimum.value
    return waveform.peak_ma >= least * waveform.rms_ma


def _share_between_periods(waveform: Waveform) -> float:
    """Part of the r.m.s. value in which the 50 Hz periods differ in more than size.

    Each period is compared with the strongest one, times the factor that fits best: whole periods
    of a burst control are all alike, those of a frequency converter are not.
    """
    periods = waveform.residual_current_ma.reshape(waveform.periods, -1)
    strongest = periods[np.argmax(np.square(periods).sum(axis=1))]
    factors = periods @ strongest / (strongest @ strongest)
    rest = periods - np.maximum(factors, 0.0)[:, np.newaxis] * strongest
    return math.sqrt(float(np.square(rest).mean())) / waveform.rms_ma


def _is_mains_frequency(waveform: Waveform) -> bool:
    """True when the strongest line is that of the supply."""
    lines = waveform.spectrum(minimum_share=0.1)
    if not lines:
        return True
    strongest_hz = max(lines, key=lambda line: line.rms_ma).frequency_hz
    allowed = classification_limits().fundamental_deviation_share.value
    return abs(strongest_hz - FUNDAMENTAL_HZ) <= allowed * FUNDAMENTAL_HZ


def _holds_mains(waveform: Waveform) -> bool:
    """True when the supply's own line is among those above the composite share: a circuit fed line to neutral."""
    share = classification_limits().composite_share.value
    lines = waveform.spectrum(minimum_share=share)
    return any(abs(line.frequency_hz - FUNDAMENTAL_HZ) < 1e-6 for line in lines)
