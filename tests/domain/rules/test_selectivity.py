"""Which of two residual current devices in series opens first.

Outside value: ratio of three with an S type upstream (BS 7671 536.4.1.4; the principle seen in a
public text, the ratio from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    circuit,
    device,
    house,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.series import (
    selectivity_of_devices_in_series,
)
from trainer.domain.vocabulary import (
    DeviceKind,
    Outcome,
    ResidualDelay,
)

COMPLIES, FAILS = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY


def pair(upper_ma: float | None, lower_ma: float | None, delay: ResidualDelay | None = ResidualDelay.S) -> Verdict:
    incomer = rccb("incomer", "A", upper_ma, fed_by="main", residual_delay=delay)
    of = house(
        incomer,
        rcbo("way1", "A", lower_ma, fed_by="incomer"),
        breaker("way2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("d", "way2"),
    )
    return verdicts(selectivity_of_devices_in_series, of)["way1"]


@pytest.mark.parametrize(
    ("upper_ma", "lower_ma", "expected"),
    [
        (100.0, 30.0, COMPLIES),
        (90.0, 30.0, COMPLIES),
        (89.9, 30.0, FAILS),
        (300.0, 100.0, COMPLIES),
        (100.0, 100.0, FAILS),
    ],
)
def test_an_s_type_of_three_times_the_rating_is_selective(upper_ma: float, lower_ma: float, expected: Outcome) -> None:
    assert pair(upper_ma, lower_ma).outcome is expected


def test_without_a_delay_no_ratio_is_selective() -> None:
    verdict = pair(300.0, 30.0, ResidualDelay.GENERAL)
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "not_delayed", ("devices.incomer",))


def test_unknown_ratings_and_delays_leave_selectivity_open() -> None:
    assert pair(None, 30.0).missing == ("devices.incomer.rated_residual_operating_current_ma",)
    assert pair(100.0, None).missing == ("devices.way1.rated_residual_operating_current_ma",)
    assert pair(100.0, 30.0, None).missing == ("devices.incomer.residual_delay",)


def test_where_the_upper_device_feeds_nothing_else_either_may_open() -> None:
    of = house(rccb("upper"), rcbo("way1", fed_by="upper"), circuit("c", "way1"))
    assert verdicts(selectivity_of_devices_in_series, of) == {}


def test_lack_of_selectivity_is_a_nuisance_and_no_hazard() -> None:
    finding = Finding(selectivity_of_devices_in_series, "devices.way1", pair(100.0, 100.0))
    assert finding.fails
    assert not finding.is_hazard


def test_switches_between_residual_devices_do_not_count() -> None:
    middle = device("link", DeviceKind.SWITCH, fed_by="incomer")
    of = house(selective("incomer"), middle, rcbo("way1", fed_by="link"), breaker("way2", fed_by="link"),
               circuit("c", "way1"), circuit("d", "way2"))  # fmt: skip
    assert verdicts(selectivity_of_devices_in_series, of)["way1"].outcome is COMPLIES


def test_every_device_upstream_is_compared() -> None:
    of = house(
        rccb("head", "A", 300.0, fed_by="main"),
        rccb("middle", "A", 100.0, fed_by="head", residual_delay=ResidualDelay.S),
        rcbo("way1", fed_by="middle"),
        breaker("way2", fed_by="middle"),
        breaker("way3", fed_by="head"),
        circuit("c", "way1"),
        circuit("d", "way2"),
        circuit("e", "way3"),
    )
    verdict = verdicts(selectivity_of_devices_in_series, of)["way1"]
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "not_delayed", ("devices.head",))


def test_an_upper_device_that_feeds_nothing_else_does_not_hide_the_next() -> None:
    of = house(
        rccb("head", "A", 30.0, fed_by="main"),
        rccb("own", fed_by="head"),
        rcbo("way1", fed_by="own"),
        breaker("way3", fed_by="head"),
        circuit("c", "way1"),
        circuit("e", "way3"),
    )
    verdict = verdicts(selectivity_of_devices_in_series, of)["way1"]
    assert (verdict.outcome, verdict.related) == (FAILS, ("devices.head",))


def test_a_selective_device_further_up_does_not_make_good_one_between_that_is_not() -> None:
    of = house(
        selective("head", "A", 300.0),
        rccb("middle", "A", 100.0, fed_by="head", residual_delay=ResidualDelay.GENERAL),
        rcbo("way1", fed_by="middle"),
        breaker("way2", fed_by="middle"),
        circuit("c", "way1"),
        circuit("d", "way2"),
    )
    verdict = verdicts(selectivity_of_devices_in_series, of)["way1"]
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "not_delayed", ("devices.middle",))
