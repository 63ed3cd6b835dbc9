"""Island mode: electrode, neutral-earth link, disconnection.

Outside values: an own electrode (BS 7671 551.4.3.2.1 and 826.1.1.2.1, seen in public texts); one link at
a time (a code of practice, seen in a public text); 40 ms at five times the rating (IEC 61008-1, seen in
a public text); 160 A trip a 32 A curve B at once (five times, BS EN 60898-1, from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, circuit, device, house, inverter, item, rcbo, rccb, selective, verdicts
from trainer.domain.equipment import Equipment, NeutralEarthLink, SourceKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.island import (
    disconnection_in_the_island,
    electrode_of_the_island,
    neutral_earthed_in_the_island,
    one_neutral_earth_link_at_a_time,
    residual_devices_act_in_every_mode,
)
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Outcome

COMPLIES, FAILS, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED
LINK = NeutralEarthLink


def battery(name: str = "battery", on: str = "b", **facts: object) -> Equipment:
    given = {"island": True, "island_fault_current_a": 32.0, "neutral_earth_link": LINK.AUTOMATIC} | facts
    return inverter(name, on, SourceKind.BATTERY, **given)


STORE = (breaker("store"), circuit("b", "store"))


def test_a_house_that_cannot_run_as_an_island_is_not_judged() -> None:
    plain = battery(island=False, island_fault_current_a=None, neutral_earth_link=None)
    of = house(*STORE, plain, rcbo("way1"), circuit("c", "way1"))
    for rule in (
        electrode_of_the_island,
        neutral_earthed_in_the_island,
        one_neutral_earth_link_at_a_time,
        residual_devices_act_in_every_mode,
        disconnection_in_the_island,
    ):
        assert verdicts(rule, of) == {}


@pytest.mark.parametrize(
    ("system", "earthing", "expected", "case"),
    [
        (EarthingSystem.TN_C_S, {"island_electrode_resistance_ohm": 60.0}, COMPLIES, "island_electrode"),
        (EarthingSystem.TN_C_S, {}, FAILS, "no_electrode"),
        (EarthingSystem.TN_C_S, {"electrode_resistance_ohm": 60.0}, FAILS, "no_electrode"),
        (EarthingSystem.TN_S, {}, FAILS, "no_electrode"),
        (EarthingSystem.TT, {"electrode_resistance_ohm": 90.0}, COMPLIES, "tt_electrode"),
        (EarthingSystem.TT, {}, OPEN, ""),
        (None, {}, OPEN, ""),
    ],
)
def test_an_island_has_an_electrode_of_its_own(
    system: EarthingSystem | None, earthing: dict[str, float], expected: Outcome, case: str
) -> None:
    of = house(*STORE, battery(), system=system, earthing=Earthing(**earthing))
    verdict = verdicts(electrode_of_the_island, of)["installation"]
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_an_open_electrode_names_what_is_missing() -> None:
    of = house(*STORE, battery(), system=EarthingSystem.TT, earthing=Earthing())
    assert verdicts(electrode_of_the_island, of)["installation"].missing == ("earthing.electrode_resistance_ohm",)
    of = house(*STORE, battery(), system=None, earthing=Earthing())
    assert verdicts(electrode_of_the_island, of)["installation"].missing == ("supply.earthing_system",)


@pytest.mark.parametrize(
    ("link", "expected"), [(LINK.AUTOMATIC, COMPLIES), (LINK.FIXED, COMPLIES), (LINK.NONE, FAILS), (None, OPEN)]
)
def test_an_island_links_neutral_and_earth(link: NeutralEarthLink | None, expected: Outcome) -> None:
    of = house(*STORE, battery(neutral_earth_link=link))
    assert verdicts(neutral_earthed_in_the_island, of)["battery"].outcome is expected


@pytest.mark.parametrize(
    ("facts", "expected", "case"),
    [
        ({"island_isolator_opens_all_live": True}, COMPLIES, "island_isolator"),
        ({"island_isolator_opens_all_live": False}, FAILS, "island_isolator"),
        ({}, OPEN, ""),
        ({"neutral_earth_link": LINK.FIXED, "island_isolator_opens_all_live": True}, FAILS, "fixed_link"),
    ],
)
def test_one_link_at_a_time(facts: dict[str, object], expected: Outcome, case: str) -> None:
    verdict = verdicts(one_neutral_earth_link_at_a_time, house(*STORE, battery(**facts)))["battery"]
    assert (verdict.outcome, verdict.case) == (expected, case)


@pytest.mark.parametrize("link", [LINK.NONE, None])
def test_without_a_link_there_is_none_too_many(link: NeutralEarthLink | None) -> None:
    assert verdicts(one_neutral_earth_link_at_a_time, house(*STORE, battery(neutral_earth_link=link))) == {}


@pytest.mark.parametrize(
    ("second", "expected"), [(LINK.AUTOMATIC, FAILS), (LINK.FIXED, FAILS), (LINK.NONE, COMPLIES), (None, COMPLIES)]
)
def test_two_sources_do_not_both_close_a_link(second: NeutralEarthLink | None, expected: Outcome) -> None:
    first = battery(island_isolator_opens_all_live=True)
    of = house(*STORE, first, breaker("way2"), circuit("d", "way2"), battery("hybrid", "d", neutral_earth_link=second))
    verdict = verdicts(one_neutral_earth_link_at_a_time, of)["battery"]
    assert verdict.outcome is expected
    if expected is FAILS:
        assert (verdict.case, verdict.related) == ("more_than_one_link", ("equipment.hybrid",))


def test_each_of_two_closed_links_names_the_other() -> None:
    isolated = {"island_isolator_opens_all_live": True}
    stores = (battery(**isolated), breaker("way2"), circuit("d", "way2"), battery("hybrid", "d", **isolated))
    found = verdicts(one_neutral_earth_link_at_a_time, house(*STORE, *stores))
    assert found["battery"].related == ("equipment.hybrid",)
    assert found["hybrid"].related == ("equipment.battery",)


# --- disconnection ----------------------------------------------------------------------------------------


def in_every_mode(rating_ma: float | None, *currents_a: float | None) -> Verdict:
    stores = [battery(f"store{n}", "b", island_fault_current_a=each) for n, each in enumerate(currents_a)]
    of = house(*STORE, *stores, rccb("way1", "A", rating_ma), circuit("c", "way1"))
    return verdicts(residual_devices_act_in_every_mode, of)["way1"]


@pytest.mark.parametrize(
    ("rating_ma", "current_a", "expected"),
    [(30.0, 32.0, COMPLIES), (500.0, 2.5, COMPLIES), (500.0, 2.4, FAILS)],
)
def test_the_islands_fault_current_is_five_times_the_rating(
    rating_ma: float, current_a: float, expected: Outcome
) -> None:
    verdict = in_every_mode(rating_ma, current_a)
    assert (verdict.outcome, verdict.value, verdict.limit) == (expected, current_a, 5 * rating_ma / 1000)


def test_the_weakest_source_decides() -> None:
    assert in_every_mode(500.0, 32.0, 2.0).outcome is FAILS
    assert in_every_mode(500.0, 2.0, 32.0).outcome is FAILS


def test_an_unknown_fault_current_or_rating_leaves_it_open() -> None:
    assert in_every_mode(30.0, None).missing == ("equipment.store0.source.island_fault_current_a",)
    assert in_every_mode(None, 32.0).missing == ("devices.way1.rated_residual_operating_current_ma",)


def disconnected(way: object, fault_a: float | None = 32.0, name: str = "c", *records: object) -> Verdict:
    load = item("load", "c")
    of = house(*STORE, battery(island_fault_current_a=fault_a), way, circuit("c", "way1"), load, *records)  # type: ignore[arg-type]
    return verdicts(disconnection_in_the_island, of)[name]


def test_a_residual_current_device_disconnects_in_the_island() -> None:
    verdict = disconnected(rcbo("way1"))
    assert (verdict.outcome, verdict.case) == (COMPLIES, "by_residual_current_device")


@pytest.mark.parametrize(
    ("rated_a", "fault_a", "expected"),
    [
        (32.0, 32.0, FAILS),  # needs 160 A
        (6.0, 30.1, COMPLIES),  # needs 30 A: 218.5 V / 7.28 ohm as tabulated is 30.01 A
        (6.0, 29.9, FAILS),
    ],
)
def test_a_breaker_disconnects_only_what_the_inverter_can_drive(
    rated_a: float, fault_a: float, expected: Outcome
) -> None:
    verdict = disconnected(breaker("way1", rated_current_a=rated_a), fault_a)
    assert (verdict.outcome, verdict.case, verdict.value) == (expected, "by_overcurrent_device", fault_a)
    terms = Finding(disconnection_in_the_island, "circuits.c", verdict).terms
    assert terms[0].value == fault_a
    assert terms[1].value == pytest.approx(5 * rated_a, rel=0.005)


def test_a_circuit_without_any_device_fails() -> None:
    verdict = disconnected(device("way1", DeviceKind.SWITCH))
    assert (verdict.outcome, verdict.case) == (FAILS, "no_device")


def test_an_unknown_fault_current_matters_without_a_residual_device_only() -> None:
    missing = disconnected(breaker("way1"), None).missing
    assert missing == ("equipment.battery.source.island_fault_current_a",)
    assert disconnected(rcbo("way1"), None).outcome is COMPLIES


def test_the_circuit_of_the_source_that_forms_the_island_is_left_to_it() -> None:
    verdict = disconnected(rcbo("way1"), 32.0, "b")
    assert (verdict.outcome, verdict.case) == (COMPLIES, "by_the_inverter")


@pytest.mark.parametrize(("monitors", "expected"), [(True, COMPLIES), (False, FAILS), (None, OPEN)])
def test_the_circuit_of_another_inverter_is_left_to_one_that_monitors(monitors: bool | None, expected: Outcome) -> None:
    pv = (breaker("roof"), circuit("p", "roof"), inverter("pv", "p", residual_monitoring=monitors))
    assert disconnected(rcbo("way1"), 32.0, "p", *pv).outcome is expected


def test_monitoring_does_not_cover_a_load_beside_the_inverter() -> None:
    pv = (breaker("roof"), circuit("p", "roof"), inverter("pv", "p", residual_monitoring=True), item("lamp", "p"))
    assert disconnected(rcbo("way1"), 32.0, "p", *pv).outcome is FAILS
    empty = (breaker("spare"), circuit("p", "spare"))
    assert disconnected(rcbo("way1"), 32.0, "p", *empty).outcome is FAILS


def test_the_weakest_island_is_found_past_sources_that_form_none() -> None:
    pv = inverter("pv", "b")
    stores = [battery(f"store{n}", "b", island_fault_current_a=current) for n, current in enumerate((32.0, 2.0))]
    of = house(*STORE, pv, *stores, rccb("way1", "A", 500.0), circuit("c", "way1"))
    assert verdicts(residual_devices_act_in_every_mode, of)["way1"].value == 2.0
    nothing = house(*STORE, battery(island_fault_current_a=0.0), rccb("way1"), circuit("c", "way1"))
    assert verdicts(residual_devices_act_in_every_mode, nothing)["way1"].value == 0


def test_a_circuit_of_two_inverters_is_left_to_both() -> None:
    silent = inverter("pv", "b", residual_monitoring=False)
    verdict = disconnected(rcbo("way1"), 32.0, "b", silent)
    assert verdict.outcome is FAILS


# --- the head of the board --------------------------------------------------------------------------------

HEAD = selective("incomer", "B", 300.0)


def under_the_head(way: object, source: object = None, *, head: object = HEAD) -> Verdict:
    """A circuit and the island's source below one device: its fault flows from the source past that device."""
    store = source or (breaker("store", fed_by="incomer"), circuit("b", "store"), battery())
    of = house(head, *store, way, circuit("c", "way1"), item("load", "c"), system=EarthingSystem.TT)  # type: ignore[misc,arg-type]
    return verdicts(disconnection_in_the_island, of)["c"]


def test_a_device_before_source_and_load_carries_nothing_of_an_islands_fault() -> None:
    # 160 A trip a 32 A curve B; the island drives 32 A, and none of it flows through the head of the board.
    verdict = under_the_head(breaker("way1", fed_by="incomer"))
    assert (verdict.outcome, verdict.case, verdict.related) == (FAILS, "by_overcurrent_device", ("devices.way1",))
    assert under_the_head(rcbo("way1", fed_by="incomer")).case == "by_residual_current_device"


def test_a_source_at_another_place_sends_its_fault_through_the_head() -> None:
    beside = (breaker("store"), circuit("b", "store"), battery())
    verdict = under_the_head(breaker("way1", fed_by="incomer"), beside, head=rccb("incomer"))
    assert (verdict.outcome, verdict.related) == (COMPLIES, ("devices.incomer",))


def test_a_source_that_forms_no_island_below_the_head_changes_nothing() -> None:
    pv = (breaker("roof", fed_by="incomer"), circuit("p", "roof"), inverter("pv", "p"))
    beside = (breaker("store"), circuit("b", "store"), battery(), *pv)
    assert under_the_head(breaker("way1", fed_by="incomer"), beside, head=rccb("incomer")).outcome is COMPLIES


def test_a_load_beside_the_source_on_one_circuit_has_nothing_between_them() -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), battery("store", "c"), item("load", "c"))
    verdict = verdicts(disconnection_in_the_island, of)["c"]
    assert (verdict.outcome, verdict.case) == (FAILS, "no_device")
