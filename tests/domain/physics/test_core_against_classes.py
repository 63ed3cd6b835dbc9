"""The core model and the classification give the same answer wherever both apply.

Outside values: operating limits of IEC 61008-1 for 30 mA, 30 mA alternating and 42 mA pulsating.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.domain.limits import limits_for
from trainer.domain.physics.classification import ResidualClass, classify, least_type
from trainer.domain.physics.core import core_of
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, waveform
from trainer.domain.vocabulary import Edition, FrontEnd, RcdType

LIMITS = limits_for(Edition.A4_2026)
CORES = {kind: core_of(kind, LIMITS) for kind in (RcdType.AC, RcdType.A, RcdType.F)}
ALL_FAULTS = [(front_end, point) for front_end, entry in FRONT_ENDS.items() for point in entry.fault_points]
DOCS = Path(__file__).parents[3] / "docs" / "agreement.md"

EXCEPTIONS = {
    (FrontEnd.BRIDGE_CHOKE, FaultPoint.DC_POSITIVE): "choke-behind-a-single-phase-bridge",
    (FrontEnd.INVERTER_LINE_FREQUENCY_LEG, FaultPoint.DC_MIDDLE): "square-wave-at-the-middle-of-a-line-frequency-leg",
}


def trips_at_the_limit(front_end: FrontEnd, point: FaultPoint) -> dict[RcdType, bool]:
    wave = waveform(front_end, point)
    limit_ma = 30.0 if classify(wave) is ResidualClass.ALTERNATING else 42.0
    scaled = wave.scaled(limit_ma / wave.rms_ma)
    return {kind: core.trips(scaled) for kind, core in CORES.items()}


def covered_by_class(front_end: FrontEnd, point: FaultPoint) -> dict[RcdType, bool]:
    least = least_type(waveform(front_end, point))
    return {kind: kind.covers(least) for kind in CORES}


def frequency_decides(front_end: FrontEnd, point: FaultPoint) -> bool:
    """True for composite currents and for alternating ones of another frequency, which the model does not know."""
    wave = waveform(front_end, point)
    residual_class = classify(wave)
    other_frequency = residual_class is ResidualClass.ALTERNATING and least_type(wave) is RcdType.B
    return residual_class is ResidualClass.COMPOSITE or other_frequency


@pytest.mark.parametrize(("front_end", "point"), ALL_FAULTS)
def test_core_and_class_agree_wherever_both_apply(front_end, point):
    if frequency_decides(front_end, point):
        return
    agree = trips_at_the_limit(front_end, point) == covered_by_class(front_end, point)
    assert agree is ((front_end, point) not in EXCEPTIONS)


def test_most_faults_are_within_reach_of_both():
    assert sum(not frequency_decides(*fault) for fault in ALL_FAULTS) > 45


def test_a_square_pulse_from_a_line_frequency_leg_classes_as_pulsating_but_needs_more_than_42_ma():
    wave = waveform(FrontEnd.INVERTER_LINE_FREQUENCY_LEG, FaultPoint.DC_POSITIVE)
    assert classify(wave) is ResidualClass.PULSATING_DC
    assert not CORES[RcdType.A].trips(wave.scaled(42.0 / wave.rms_ma))
    assert least_type(wave) is RcdType.B


def test_every_exception_between_core_and_class_has_its_reason_in_the_docs():
    section = DOCS.read_text("utf-8").partition("## Core model against classes")[2].partition("\n## ")[0]
    named = {part.partition("\n")[0] for part in section.split("\n### ")[1:]}
    assert named == {*EXCEPTIONS.values(), "square-pulse-from-a-line-frequency-leg"}
