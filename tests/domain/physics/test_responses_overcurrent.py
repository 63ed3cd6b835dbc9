"""Overcurrent devices at earth fault currents, against BS 7671 Tables 41.2 to 41.4 and BS EN 60898-1.

Outside values: Zs = 218.5 V / Ia for 230 V and Cmin 0.95; 32 A, 0.4 s: B 1.37 ohm, C 0.68 ohm,
BS 88-3 0.91 ohm (seen in a public text), 5 s 1.6 ohm (from memory). Instantaneous ranges 3 to 5,
5 to 10 and 10 to 20 times the rating (BS EN 60898-1, from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, fuse
from trainer.domain.devices import Device
from trainer.domain.limits import limits_for
from trainer.domain.physics.responses import Reason, Response, TripVerdict
from trainer.domain.physics.responses_overcurrent import overcurrent_response
from trainer.domain.vocabulary import Curve, Edition

LIMITS = limits_for(Edition.A4_2026)


def at(device: Device, current_a: float, equivalent_a: float | None = None) -> Response:
    return overcurrent_response(device, current_a, equivalent_a or current_a, LIMITS)


@pytest.mark.parametrize(("curve", "impedance_ohm"), [(Curve.B, 1.37), (Curve.C, 0.68), (Curve.D, 0.34)])
def test_a_breaker_must_act_at_the_current_of_its_printed_impedance(curve, impedance_ohm):
    response = at(breaker("m", curve=curve), 218.5 / impedance_ohm)
    assert (response.verdict, response.most_ms) == (TripVerdict.MUST, 100.0)
    assert at(breaker("m", curve=curve), 218.5 / impedance_ohm * 0.98).verdict is TripVerdict.MAY


@pytest.mark.parametrize(("curve", "multiple"), [(Curve.B, 3), (Curve.C, 5), (Curve.D, 10)])
def test_below_its_instantaneous_range_a_breaker_acts_too_slowly_to_count(curve, multiple):
    response = at(breaker("m", curve=curve), 32 * multiple - 1)
    assert (response.verdict, response.reason) == (TripVerdict.MAY, Reason.TOO_SLOW)


def test_an_electromagnetic_release_answers_the_peak():
    # A half-wave of 113 A r.m.s. has the peak of a sinusoid of 160 A.
    assert at(breaker("m"), 113.2, 160.0).verdict is TripVerdict.MUST


@pytest.mark.parametrize(("impedance_ohm", "most_ms"), [(0.91, 400.0), (1.6, 5000.0)])
def test_a_fuse_acts_within_the_time_of_the_table_that_its_current_meets(impedance_ohm, most_ms):
    cartridge = fuse("f", standard="BS 88-3")
    assert at(cartridge, 218.5 / impedance_ohm).most_ms == most_ms
    assert at(cartridge, 218.5 / impedance_ohm * 0.98).most_ms != most_ms


def test_a_fuse_of_an_unknown_standard_promises_nothing():
    response = at(fuse("f", standard=None), 500.0)
    assert (response.verdict, response.reason) == (TripVerdict.NOT_REQUIRED, Reason.DEVICE_UNKNOWN)


def test_a_breaker_of_unknown_curve_promises_nothing():
    assert at(breaker("m", curve=None), 500.0).reason is Reason.DEVICE_UNKNOWN


def test_leakage_moves_no_overcurrent_device():
    assert at(breaker("m"), 0.23).verdict is TripVerdict.MUST_NOT
