"""Standing leakage, division of the installation, and high protective conductor currents.

Outside values: 30 % of the rating, so 9 mA for 30 mA, 30 mA for 100 mA (BS 7671 531.3.2, from memory;
DGUV and discussions agree); 3.5 mA and 10 mA, 10 mm2 and 4 mm2 (BS 7671 543.7, thresholds seen in a
public text, sizes from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, cable, circuit, house, item, rcbo, rccb, selective, verdicts
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.leakage import (
    division_of_the_installation,
    high_protective_conductor_current,
    leakage_within_a_share_of_the_rating,
)
from trainer.domain.vocabulary import Consequence, Outcome, ResidualDelay

COMPLIES, FAILS, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def leakage(rating_ma: float | None, *currents_ma: float | None) -> Verdict | None:
    circuits = [circuit(f"c{n}", "shared") for n in range(len(currents_ma))]
    loads = [item(f"load{n}", f"c{n}", protective_conductor_current_ma=each) for n, each in enumerate(currents_ma)]
    of = house(rccb("shared", "A", rating_ma), *circuits, *loads)
    return verdicts(leakage_within_a_share_of_the_rating, of).get("shared")


@pytest.mark.parametrize(
    ("rating_ma", "currents_ma", "expected", "limit_ma"),
    [
        (30.0, (4.0, 5.0), COMPLIES, 9.0),
        (30.0, (4.0, 5.1), FAILS, 9.0),
        (100.0, (15.0, 15.0), COMPLIES, 30.0),
        (100.0, (15.0, 15.1), FAILS, 30.0),
        (300.0, (90.0,), COMPLIES, 90.0),
        (30.0, (0.1,) * 90, COMPLIES, 9.0),
    ],
)
def test_leakage_adds_up_to_30_percent_of_the_rating(
    rating_ma: float, currents_ma: tuple[float, ...], expected: Outcome, limit_ma: float
) -> None:
    verdict = leakage(rating_ma, *currents_ma)
    assert verdict is not None
    assert (verdict.outcome, verdict.limit, verdict.unit) == (expected, limit_ma, "mA")


def test_the_sum_of_leakage_shows_the_loads_that_leak() -> None:
    verdict = leakage(30.0, 4.0, 0.0, 5.5)
    assert verdict is not None
    finding = Finding(leakage_within_a_share_of_the_rating, "devices.shared", verdict)
    assert [(term.name, term.value) for term in finding.terms] == [("load0", 4.0), ("load2", 5.5)]
    assert verdict.value == 9.5


def test_an_unknown_leakage_matters_only_below_the_limit() -> None:
    open_, settled = leakage(30.0, 8.0, None), leakage(30.0, 10.0, None)
    assert open_ is not None
    assert open_.missing == ("equipment.load1.protective_conductor_current_ma",)
    assert settled is not None
    assert settled.outcome is FAILS


def test_leakage_below_a_device_of_unknown_rating_cannot_be_judged() -> None:
    verdict = leakage(None, 1.0)
    assert verdict is not None
    assert verdict.missing == ("devices.shared.rated_residual_operating_current_ma",)


def test_too_much_leakage_is_a_nuisance_and_no_hazard() -> None:
    verdict = leakage(30.0, 20.0)
    assert verdict is not None
    finding = Finding(leakage_within_a_share_of_the_rating, "devices.shared", verdict)
    assert finding.fails
    assert finding.consequence is Consequence.NUISANCE
    assert not finding.is_hazard


def test_a_device_upstream_counts_the_leakage_of_all_that_is_below_it() -> None:
    of = house(
        selective("incomer"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("a", "way1"),
        circuit("b", "way2"),
        item("one", "a", protective_conductor_current_ma=5.0),
        item("two", "b", protective_conductor_current_ma=6.0),
    )
    found = verdicts(leakage_within_a_share_of_the_rating, of)
    assert {name: verdict.value for name, verdict in found.items()} == {"incomer": 11.0, "way1": 5.0, "way2": 6.0}


def test_a_device_without_loads_and_a_plain_breaker_are_not_judged() -> None:
    of = house(rcbo("way1"), breaker("way2"), circuit("a", "way1"), circuit("b", "way2"), item("load", "b"))
    assert verdicts(leakage_within_a_share_of_the_rating, of) == {}


# --- division ---------------------------------------------------------------------------------------


def divided(*records: object) -> dict[str, Verdict]:
    return verdicts(division_of_the_installation, house(*records))  # type: ignore[arg-type]


def test_one_device_for_the_whole_dwelling_fails() -> None:
    verdict = divided(rccb("head"), circuit("a", "head"), circuit("b", "head"))["head"]
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "whole_installation", 2, 2)


def test_a_time_delayed_device_at_the_head_is_exempt() -> None:
    below = (rcbo("way1", fed_by="head"), circuit("a", "way1"), circuit("b", "head"))
    verdict = divided(selective("head"), *below)["head"]
    assert (verdict.outcome, verdict.case) == (COMPLIES, "time_delayed_head")


def test_a_time_delayed_device_with_none_below_it_takes_everything_all_the_same() -> None:
    # 314.1: the delay lets a device below act first; where there is none, any fault puts out the whole house
    verdict = divided(selective("head"), circuit("a", "head"), circuit("b", "head"))["head"]
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "whole_installation", 2, 2)
    unknown = divided(rccb("head", residual_delay=None), circuit("a", "head"), circuit("b", "head"))["head"]
    assert unknown.case == "whole_installation"


def test_a_head_without_delay_takes_everything_with_it_although_a_device_stands_below() -> None:
    # 314.1: with nothing to hold it back it may open before the device below does
    below = (rcbo("way1", fed_by="head"), circuit("a", "way1"), circuit("b", "head"))
    verdict = divided(rccb("head", residual_delay=ResidualDelay.GENERAL), *below)["head"]
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "whole_installation", 2, 2)


def test_a_head_of_unknown_delay_cannot_be_judged_where_devices_stand_below_it() -> None:
    below = (rcbo("way1", fed_by="head"), circuit("a", "way1"), circuit("b", "head"))
    verdict = divided(rccb("head", residual_delay=None), *below)["head"]
    assert verdict.missing == ("devices.head.residual_delay",)


def test_two_groups_divide_the_dwelling() -> None:
    found = divided(
        rccb("left"),
        rccb("right"),
        circuit("a", "left"),
        circuit("b", "left"),
        circuit("c", "right"),
        circuit("d", "right"),
    )
    assert {verdict.case for verdict in found.values()} == {"divided"}
    assert (found["left"].value, found["left"].limit) == (2, 4)


def test_a_critical_circuit_does_not_share_with_others() -> None:
    records = (rccb("left"), circuit("a", "left"), circuit("freezer", "left", critical=True))
    verdict = divided(*records, breaker("way9"), circuit("z", "way9"))["left"]
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "critical_circuit_shared", ("circuits.freezer",))


def test_critical_circuits_may_share_with_each_other() -> None:
    records = (rccb("left"), circuit("alarm", "left", critical=True), circuit("freezer", "left", critical=True))
    assert divided(*records, breaker("way9"), circuit("z", "way9"))["left"].outcome is COMPLIES


def test_a_critical_circuit_below_a_time_delayed_device_is_not_lost_with_the_others() -> None:
    freezer = circuit("freezer", "head", critical=True)
    below = (rcbo("way1", fed_by="head"), circuit("a", "way1"), freezer)
    assert divided(selective("head"), *below)["head"].outcome is COMPLIES
    left = rccb("left", residual_delay=ResidualDelay.S)
    alone = (circuit("a", "left"), circuit("freezer", "left", critical=True), breaker("way9"), circuit("z", "way9"))
    assert divided(left, *alone)["left"].case == "critical_circuit_shared"


def test_a_device_of_one_circuit_divides_by_itself() -> None:
    assert divided(rcbo("way1"), circuit("a", "way1")) == {}


def test_a_device_that_feeds_nothing_divides_nothing() -> None:
    assert divided(rccb("spare"), breaker("way1"), circuit("a", "way1")) == {}


# --- high protective conductor current ----------------------------------------------------------------


def high(*currents_ma: float | None, run: dict[str, object] | None = None, **facts: object) -> Verdict:
    loads = [item(f"load{n}", "c", protective_conductor_current_ma=each, **facts) for n, each in enumerate(currents_ma)]
    of = house(breaker("way1"), circuit("c", "way1", cable=cable(**(run or {}))), *loads)
    return verdicts(high_protective_conductor_current, of)["c"]


@pytest.mark.parametrize(
    ("currents_ma", "expected", "case"),
    [
        ((1.0,), COMPLIES, "low"),
        ((5.0, 5.0), COMPLIES, "low"),
        ((5.0, 5.1), FAILS, "high_integrity"),
        ((11.0,), FAILS, "high_integrity"),
    ],
)
def test_a_circuit_above_10_ma_needs_a_high_integrity_earth(
    currents_ma: tuple[float, ...], expected: Outcome, case: str
) -> None:
    verdict = high(*currents_ma)
    assert (verdict.outcome, verdict.case, verdict.limit) == (expected, case, 10.0)


@pytest.mark.parametrize(
    ("run", "expected"),
    [
        ({"protective_conductor_mm2": 10.0}, COMPLIES),
        ({"protective_conductor_mm2": 9.9}, FAILS),
        ({"protective_conductor_mm2": 4.0, "mechanically_protected": True}, COMPLIES),
        ({"protective_conductor_mm2": 3.9, "mechanically_protected": True}, FAILS),
        ({"protective_conductor_mm2": 4.0}, FAILS),
        ({"duplicated_protective_conductor": True}, COMPLIES),
        ({"protective_conductor_mm2": None}, FAILS),
    ],
)
def test_size_protection_or_a_second_conductor_give_high_integrity(run: dict[str, object], expected: Outcome) -> None:
    assert high(12.0, run=run).outcome is expected


@pytest.mark.parametrize(
    ("current_ma", "facts", "expected"),
    [
        (3.5, {"plug_in": True}, COMPLIES),
        (3.6, {"plug_in": True}, FAILS),
        (3.6, {"plug_in": True, "industrial_plug": True}, COMPLIES),
        (3.6, {}, COMPLIES),
        (6.0, {"plug_in": True, "kind": EquipmentKind.IT}, COMPLIES),
        (6.0, {"plug_in": True, "kind": EquipmentKind.SOCKET_LOADS}, COMPLIES),
    ],
)
def test_equipment_above_3_5_ma_does_not_hang_on_a_domestic_plug(
    current_ma: float, facts: dict[str, object], expected: Outcome
) -> None:
    verdict = high(current_ma, **facts)
    assert verdict.outcome is expected
    if expected is FAILS:
        assert (verdict.case, verdict.limit, verdict.related) == ("plug", 3.5, ("equipment.load0",))


def test_an_unknown_current_is_open_unless_the_earth_is_of_high_integrity() -> None:
    assert high(1.0, None).missing == ("equipment.load1.protective_conductor_current_ma",)
    assert high(1.0, None, run={"duplicated_protective_conductor": True}).outcome is COMPLIES
    assert high(11.0, None).outcome is FAILS


def test_an_unknown_cable_matters_above_10_ma() -> None:
    of = house(
        breaker("way1"), circuit("c", "way1", cable=None), item("load", "c", protective_conductor_current_ma=11.0)
    )
    assert verdicts(high_protective_conductor_current, of)["c"].missing == ("circuits.c.cable",)


def test_circuits_without_equipment_are_not_judged() -> None:
    assert verdicts(high_protective_conductor_current, house(breaker("way1"), circuit("c", "way1"))) == {}


def test_the_delay_of_a_divided_device_is_not_asked_for() -> None:
    found = divided(
        rccb("left", residual_delay=None),
        circuit("a", "left"),
        circuit("b", "left"),
        breaker("way9"),
        circuit("z", "way9"),
    )
    assert found["left"].outcome is COMPLIES
    assert (
        divided(rccb("head", residual_delay=ResidualDelay.GENERAL), circuit("a", "head"), circuit("b", "head"))[
            "head"
        ].outcome
        is FAILS
    )


def test_unknown_currents_count_as_nothing_in_the_sums() -> None:
    assert high(11.0, None).value == 11.0
    verdict = leakage(30.0, 10.0, None)
    assert verdict is not None
    assert verdict.value == 10.0
    assert high(None, plug_in=True).outcome is OPEN


def beyond(*currents_ma: float | None, run: dict[str, object] | None = None, **facts: object) -> dict[str, Verdict]:
    """Loads on circuits of their own in a barn that one distribution circuit feeds."""
    records: list[object] = [breaker("feed"), circuit("barn_feed", "feed", cable=cable(**(run or {})))]
    records.append(Board(id="barn", fed_by="barn_feed"))
    for n, each in enumerate(currents_ma):
        records.append(breaker(f"b{n}", board="barn", fed_by="barn"))
        records.append(circuit(f"c{n}", f"b{n}"))
        records.append(item(f"load{n}", f"c{n}", protective_conductor_current_ma=each, **facts))
    return verdicts(high_protective_conductor_current, house(*records))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("currents_ma", "run", "expected"),
    [
        ((4.0, 6.0), {}, COMPLIES),
        ((4.0, 6.1), {}, FAILS),
        ((4.0, 6.1), {"protective_conductor_mm2": 10.0}, COMPLIES),
        ((4.0, None), {}, OPEN),
    ],
)
def test_a_distribution_circuit_carries_what_all_circuits_beyond_it_leak(
    currents_ma: tuple[float | None, ...], run: dict[str, object], expected: Outcome
) -> None:
    # 543.7.1.203 names final and distribution circuits, by their total current; from memory
    found = beyond(*currents_ma, run=run)
    assert found["barn_feed"].outcome is expected
    assert found["c0"].case == "low"


def test_a_plug_beyond_a_distribution_circuit_is_judged_once_at_its_own_circuit() -> None:
    found = beyond(3.6, plug_in=True)
    assert (found["c0"].case, found["barn_feed"].case) == ("plug", "low")
