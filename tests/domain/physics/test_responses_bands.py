"""Trip bands and break times against the rows of the product standards."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from trainer.domain.devices import Device
from trainer.domain.errors import OutOfRangeError
from trainer.domain.limits import limits_for
from trainer.domain.physics import bands
from trainer.domain.physics.bands import ResidualRating, rating_of
from trainer.domain.physics.times import TimeBounds, TimeClass, break_time_bounds
from trainer.domain.vocabulary import DeviceKind, Edition, RcdType, ResidualDelay

LIMITS = limits_for(Edition.A4_2026).devices
REFERENCE = Path(__file__).parents[2] / "reference"


def rows(name: str) -> list[dict[str, str]]:
    lines = (REFERENCE / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def printed_band(rating: ResidualRating, waveform: str) -> bands.Band | None:
    if waveform.startswith("half_wave"):
        return bands.pulsating_band(rating, float(waveform.split("_")[2]), LIMITS)
    if waveform == "sinusoidal_50_hz":
        return bands.alternating_band(rating, LIMITS)
    if waveform.startswith("sinusoidal"):
        return bands.frequency_band(rating, float(waveform.split("_")[1]), LIMITS)
    by_name = {
        "composite": bands.composite_band,
        "smooth_dc": bands.smooth_dc_band,
        "rectified_from_lines": bands.rectified_band,
    }
    return by_name[waveform](rating, LIMITS)


@pytest.mark.parametrize("row", rows("rcd_trip_bands.csv"), ids=lambda row: "-".join(row.values()))
def test_trip_bands_are_those_of_the_product_standards(row):
    rating = ResidualRating(
        rcd_type=RcdType(row["rcd_type"]), rated_residual_operating_current_ma=float(row["rated_ma"])
    )
    printed = (float(row["non_operating_ma"]), float(row["operating_ma"]))
    assert printed_band(rating, row["waveform"]) == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize("row", rows("rcd_break_times.csv"), ids=lambda row: "-".join(row.values()))
def test_break_times_are_those_of_the_product_standards(row):
    rating = ResidualRating(
        rcd_type=RcdType.B if row["waveform"] == "smooth_dc" else RcdType.A,
        rated_residual_operating_current_ma=float(row["rated_ma"]),
        delay=ResidualDelay(row["delay"]),
    )
    found = break_time_bounds(rating, TimeClass(row["waveform"]), float(row["residual_current_ma"]), LIMITS)
    most_ms = float(row["most_ms"]) if row["most_ms"] else None
    assert found == TimeBounds(float(row["least_ms"] or 0), most_ms)


def test_a_delayed_device_waits_longer_the_smaller_the_current():
    rating = ResidualRating(rcd_type=RcdType.A, rated_residual_operating_current_ma=100.0, delay=ResidualDelay.S)
    least = [
        break_time_bounds(rating, TimeClass.ALTERNATING, current_ma, LIMITS).least_ms
        for current_ma in (50.0, 150.0, 300.0, 5000.0)
    ]
    assert least == [130.0, 60.0, 50.0, 40.0]


def test_a_type_f_device_stays_closed_for_the_first_10_ms():
    # IEC 62423: no trip on a residual inrush of up to 10 ms (from memory).
    rating = ResidualRating(rcd_type=RcdType.F)
    assert break_time_bounds(rating, TimeClass.ALTERNATING, 250.0, LIMITS) == TimeBounds(10.0, 40.0)


def test_beyond_1_khz_nothing_is_promised_even_of_type_b():
    assert bands.frequency_band(ResidualRating(rcd_type=RcdType.B), 1500.0, LIMITS) is None


@pytest.mark.parametrize(("rated_ma", "borne_ma"), [(30.0, 12.0), (10.0, 10.0), (300.0, 120.0)])
def test_type_b_still_detects_the_rest_on_the_smooth_dc_of_iec_62873_2(rated_ma, borne_ma):
    rating = ResidualRating(rcd_type=RcdType.B, rated_residual_operating_current_ma=rated_ma)
    assert bands.smooth_dc_type_b_bears_ma(rating, LIMITS) == pytest.approx(borne_ma)


def test_a_device_without_type_or_rating_has_no_known_rating():
    facts = {"id": "d", "board": "b", "fed_by": "b", "rated_current_a": 32.0, "poles": 2}
    assert rating_of(Device(kind=DeviceKind.RCCB, **facts)) is None
    assert rating_of(Device(kind=DeviceKind.FUSE, **facts)) is None
    known = Device(kind=DeviceKind.RCBO, rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0, **facts)
    assert rating_of(known) == ResidualRating(rcd_type=RcdType.A)


@pytest.mark.parametrize("rated_ma", [0.0, -30.0, float("nan")])
def test_a_rating_that_is_not_above_zero_is_refused(rated_ma):
    with pytest.raises(OutOfRangeError, match="above zero"):
        ResidualRating(rcd_type=RcdType.A, rated_residual_operating_current_ma=rated_ma)
