"""Sources in parallel: point of connection, shared devices, direction, notices, voltage rise, vehicles.

Outside values: Iz >= In + Ig (BS 7671 551.7.2, seen in a public text for the structure); 27 A for
2.5 mm2 flat cable, method C (Table 4D5, from memory) and 18 mV/A/m; a source shares no 30 mA device (a
code of practice, seen in a public text); 1 % voltage rise is common practice, no source.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    cable,
    charger,
    circuit,
    device,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from trainer.domain.devices import Board
from trainer.domain.equipment import Equipment, Source, SourceKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.notices import Notice
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.rules.sources import (
    direction_of_devices,
    notices_of_further_sources,
    point_of_connection,
    prosumer_installation,
    source_below_a_residual_device,
    source_shares_no_sensitive_device,
    vehicle_as_a_source,
    voltage_rise_of_generation,
)
from trainer.domain.vocabulary import Consequence, DeviceKind, Direction, Edition, Outcome, ResidualDelay

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def on(rule: Rule, *records: object, source: Equipment | None = None, **facts: object) -> Verdict | None:
    """The verdict on PV of 16 A on circuit c, behind a 32 A breaker on way 1 unless records say otherwise."""
    names = {getattr(each, "id", "") for each in records}
    ways = () if "way1" in names else (breaker("way1"),)
    own = () if "c" in names else (circuit("c", "way1"),)
    pv = source or inverter("pv", "c", **facts)
    return verdicts(rule, house(*ways, *own, pv, *records)).get(pv.id)  # type: ignore[arg-type]


def result(rule: Rule, *records: object, **facts: object) -> tuple[Outcome, str]:
    verdict = on(rule, *records, **facts)
    assert verdict is not None
    return verdict.outcome, verdict.case


def test_loads_are_no_sources() -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c"))
    for rule in (
        point_of_connection,
        source_below_a_residual_device,
        source_shares_no_sensitive_device,
        direction_of_devices,
        notices_of_further_sources,
        prosumer_installation,
        voltage_rise_of_generation,
        vehicle_as_a_source,
    ):
        assert verdicts(rule, of) == {}


# --- point of connection -----------------------------------------------------------------------------------


def test_a_source_with_a_way_of_its_own_complies() -> None:
    assert result(point_of_connection) == (COMPLIES, "way_of_its_own")


def test_a_source_is_not_plugged_in() -> None:
    assert result(point_of_connection, plug_connected=True) == (FAILS, "plug_and_socket")


@pytest.mark.parametrize(
    ("rated_a", "source_a", "expected"),
    [(11.0, 16.0, COMPLIES), (11.1, 16.0, FAILS), (32.0, 16.0, FAILS)],
)
def test_a_shared_cable_carries_device_and_source_together(rated_a: float, source_a: float, expected: Outcome) -> None:
    # 2.5 mm2 flat cable clipped direct: 27 A.
    way, load = breaker("way1", rated_current_a=rated_a), item("load", "c")
    verdict = on(point_of_connection, way, load, rated_current_a=source_a)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.value) == (expected, "cable_carries_both", 27.0)
    terms = Finding(point_of_connection, "equipment.pv", verdict).terms
    assert [term.value for term in terms] == [rated_a, 16.0]


@pytest.mark.parametrize("facts", [{"socket_outlets": True}, {"luminaires": True}])
def test_outlets_and_lights_are_loads_beside_the_source(facts: dict[str, bool]) -> None:
    assert result(point_of_connection, circuit("c", "way1", **facts))[1] == "cable_carries_both"


def test_a_shared_circuit_without_overcurrent_device_or_cable() -> None:
    load = item("load", "c")
    assert result(point_of_connection, device("way1", DeviceKind.SWITCH), load) == (FAILS, "no_overcurrent_device")
    unknown = on(point_of_connection, circuit("c", "way1", cable=None), load)
    assert unknown is not None
    assert unknown.outcome is OPEN
    assert unknown.missing == ("circuits.c.cable",)


# --- residual current devices ------------------------------------------------------------------------------

OTHER = (breaker("way9", fed_by="shared"), circuit("d", "way9"))
BELOW = (breaker("way1", fed_by="shared"),)


def test_a_source_before_all_residual_devices_complies() -> None:
    assert result(source_below_a_residual_device) == (COMPLIES, "no_device")
    assert result(source_shares_no_sensitive_device) == (COMPLIES, "nothing_shared")


def test_a_source_with_a_residual_device_of_its_own_complies() -> None:
    assert result(source_below_a_residual_device, rcbo("way1")) == (COMPLIES, "own_device")
    assert result(source_shares_no_sensitive_device, rcbo("way1")) == (COMPLIES, "nothing_shared")


@pytest.mark.parametrize(("rating_ma", "expected"), [(30.0, FAILS), (30.1, ADVICE), (100.0, ADVICE)])
def test_a_source_that_shares_a_30_ma_device_fails(rating_ma: float, expected: Outcome) -> None:
    verdict = on(source_shares_no_sensitive_device, rccb("shared", "A", rating_ma), *BELOW, *OTHER)
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.related) == (expected, rating_ma, ("devices.shared",))


def test_a_source_on_a_loads_circuit_shares_its_device() -> None:
    assert result(source_shares_no_sensitive_device, rcbo("way1"), item("load", "c")) == (FAILS, "shared_30_ma")
    shared = circuit("c", "way1", socket_outlets=True)
    assert result(source_shares_no_sensitive_device, rcbo("way1"), shared) == (FAILS, "shared_30_ma")
    coarse = rcbo("way1", "A", 100.0)
    assert result(source_shares_no_sensitive_device, coarse, shared) == (ADVICE, "shared_above_30_ma")


def test_below_a_time_delayed_device_other_rules_decide() -> None:
    chain = (selective("shared"), *BELOW, *OTHER)
    assert result(source_shares_no_sensitive_device, *chain) == (COMPLIES, "selective_or_distribution_device")


def test_below_a_device_that_only_distributes_other_rules_decide() -> None:
    distributing = (rccb("shared", "A", 100.0), *BELOW, rcbo("way9", fed_by="shared"), circuit("d", "way9"))
    assert result(source_shares_no_sensitive_device, *distributing) == (COMPLIES, "selective_or_distribution_device")


def test_a_failing_device_further_up_outweighs_a_complying_one() -> None:
    chain = (
        rccb("head", "A", 30.0),
        selective("shared", fed_by="head"),
        *BELOW,
        *OTHER,
    )
    assert result(source_shares_no_sensitive_device, *chain) == (FAILS, "shared_30_ma")


def test_advice_outweighs_a_complying_device() -> None:
    chain = (rccb("head", "A", 300.0), breaker("way8", fed_by="head"), circuit("e", "way8"))
    chain = (*chain, selective("shared", fed_by="head"), *BELOW, *OTHER)
    assert result(source_shares_no_sensitive_device, *chain) == (ADVICE, "shared_above_30_ma")


def test_a_device_further_up_neither_hides_advice_nor_is_hidden_by_it() -> None:
    advised = (rccb("shared", "A", 100.0, fed_by="head"), *BELOW, *OTHER)
    assert result(source_shares_no_sensitive_device, selective("head", "A", 300.0), *advised) == (
        ADVICE,
        "shared_above_30_ma",
    )
    assert result(source_shares_no_sensitive_device, rccb("head"), *advised) == (FAILS, "shared_30_ma")


@pytest.mark.parametrize("name", ["a", "d"])
def test_a_circuit_of_any_name_below_a_device_makes_it_more_than_a_distributor(name: str) -> None:
    chain = (rccb("shared", "A", 100.0), *BELOW, breaker("way9", fed_by="shared"), circuit(name, "way9"))
    assert result(source_shares_no_sensitive_device, *chain) == (ADVICE, "shared_above_30_ma")


def test_an_unknown_rating_or_delay_leaves_sharing_open() -> None:
    unknown = on(source_shares_no_sensitive_device, rccb("shared", "A", None), *BELOW, *OTHER)
    assert unknown is not None
    assert unknown.missing == ("devices.shared.rated_residual_operating_current_ma",)
    delay = on(source_shares_no_sensitive_device, rccb("shared", "A", 100.0, residual_delay=None), *BELOW, *OTHER)
    assert delay is not None
    assert delay.missing == ("devices.shared.residual_delay",)


def test_sharing_a_30_ma_device_is_a_hazard() -> None:
    verdict = on(source_shares_no_sensitive_device, rccb("shared"), *BELOW, *OTHER)
    assert verdict is not None
    assert Finding(source_shares_no_sensitive_device, "equipment.pv", verdict).is_hazard


def test_what_one_page_reports_of_a4_is_advice_and_holds_there_only() -> None:
    chain = (rccb("shared", "A", 300.0, residual_delay=ResidualDelay.S), *BELOW, *OTHER)
    assert result(source_below_a_residual_device, *chain) == (ADVICE, "publications_differ")
    of = house(*chain, circuit("c", "way1"), inverter("pv", "c"))
    assert judge(of, [source_below_a_residual_device], Edition.A2_2022) == []
    assert len(judge(of, [source_below_a_residual_device], Edition.A4_2026)) == 1


# --- direction ---------------------------------------------------------------------------------------------


def direction(way: object, *records: object) -> Verdict | None:
    of = house(way, circuit("c", "way1"), inverter("pv", "c"), *records)  # type: ignore[arg-type]
    return verdicts(direction_of_devices, of).get("way1")


@pytest.mark.parametrize(
    ("marked", "expected", "case"),
    [
        (Direction.BIDIRECTIONAL, COMPLIES, "bidirectional"),
        (Direction.UNIDIRECTIONAL, FAILS, "fed_from_its_load_side"),
        (None, OPEN, ""),
    ],
)
def test_a_device_with_a_source_on_its_load_side_is_bidirectional(
    marked: Direction | None, expected: Outcome, case: str
) -> None:
    verdict = direction(rcbo("way1", direction=marked))
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_a_marked_breaker_counts_and_an_unmarked_one_does_not() -> None:
    marked = direction(breaker("way1", direction=Direction.UNIDIRECTIONAL))
    assert marked is not None
    assert marked.outcome is FAILS
    assert direction(breaker("way1")) is None
    arc = direction(breaker("way1", arc_fault_detection=True))
    assert arc is not None
    assert arc.missing == ("devices.way1.direction",)


def test_a_failing_direction_names_the_sources() -> None:
    of = house(
        rccb("shared", direction=Direction.UNIDIRECTIONAL), *BELOW, *OTHER, circuit("c", "way1"), inverter("pv", "c")
    )
    assert verdicts(direction_of_devices, of)["shared"].related == ("equipment.pv",)


def test_a_source_elsewhere_does_not_feed_the_load_side() -> None:
    of = house(
        rcbo("way1", direction=Direction.UNIDIRECTIONAL),
        rcbo("way2", direction=Direction.BIDIRECTIONAL),
        circuit("c", "way1"),
        circuit("d", "way2"),
        inverter("pv", "d"),
    )
    assert set(verdicts(direction_of_devices, of)) == {"way2"}


def test_the_direction_of_devices_is_asked_since_a3() -> None:
    of = house(rcbo("way1", direction=Direction.UNIDIRECTIONAL), circuit("c", "way1"), inverter("pv", "c"))
    assert judge(of, [direction_of_devices], Edition.A2_2022) == []
    assert len(judge(of, [direction_of_devices], Edition.A3_2024)) == 1


# --- notices, part 8, voltage rise, vehicles ------------------------------------------------------------------

POSITIONS = [each for each in Notice if each.value.startswith("alternative_supply")]


@pytest.mark.parametrize(("there", "expected"), [(4, COMPLIES), (3, FAILS), (0, FAILS)])
def test_notices_stand_at_four_positions(there: int, expected: Outcome) -> None:
    notices = frozenset(POSITIONS[:there])
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"), notices=notices)
    verdict = verdicts(notices_of_further_sources, of)["installation"]
    assert (verdict.outcome, verdict.value, verdict.limit) == (expected, there, 4)
    assert verdict.related == tuple(f"notices.{each}" for each in POSITIONS[there:])
    assert Finding(notices_of_further_sources, "installation", verdict).consequence is Consequence.DOCUMENTATION


def test_a_house_with_a_source_is_a_prosumers() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"))
    verdict = verdicts(prosumer_installation, of)["installation"]
    assert (verdict.outcome, verdict.value) == (COMPLIES, 1)


@pytest.mark.parametrize(("rise", "expected"), [(0.5, COMPLIES), (1.0, COMPLIES), (1.01, ADVICE), (5.0, ADVICE)])
def test_voltage_rise_above_1_percent_is_advised_against(rise: float, expected: Outcome) -> None:
    assert result(voltage_rise_of_generation, voltage_rise_percent=rise) == (expected, "voltage_rise")


def test_voltage_rise_follows_from_the_cable_where_it_is_not_stated() -> None:
    # 18 mV/A/m x 16 A x 20 m / 1000 = 5.76 V, 2.504 % of 230 V
    verdict = on(voltage_rise_of_generation)
    assert verdict is not None
    assert verdict.value == pytest.approx(2.504, abs=0.0005)


def test_voltage_rise_of_three_phases_is_between_lines() -> None:
    # 6 mm2 armoured 70 C, three loaded conductors: 6.4 mV/A/m x 16 A x 20 m / 1000 = 2.048 V of 398.4 V: 0.514 %
    run = cable(type="4D4", cross_section_mm2=6.0, protective_conductor_mm2=None)
    own = circuit("c", "way1", phases=3, cable=run)
    of = house(breaker("way1", poles=3), own, inverter("pv", "c", phases=3), phases=3)
    verdict = verdicts(voltage_rise_of_generation, of)["pv"]
    assert verdict.value == pytest.approx(0.514, abs=0.0005)


def far_away(*lines: str, phases: int = 1) -> dict[str, Verdict]:
    """Inverters of 16 A in a barn, each on 20 m of 2.5 mm2, behind 50 m of 10 mm2."""
    run = cable(type="4D2", cross_section_mm2=10.0, protective_conductor_mm2=4.0, length_m=50.0)
    records: list[object] = [breaker("f", poles=phases + 1), circuit("sub", "f", cable=run, phases=phases)]
    records.append(Board(id="barn", fed_by="sub"))
    for n, line in enumerate(lines):
        records.append(breaker(f"b{n}", board="barn", fed_by="barn"))
        records.append(circuit(f"c{n}", f"b{n}", line=line))
        records.append(inverter(f"pv{n}", f"c{n}"))
    return verdicts(voltage_rise_of_generation, house(*records, phases=phases))  # type: ignore[arg-type]


def test_voltage_rise_counts_the_distribution_circuit_and_all_that_feeds_into_it() -> None:
    # 2.504 % as above; 4.4 mV/A/m x 16 A x 50 m / 1000 = 3.52 V, 1.530 % of 230 V, with two inverters twice that
    assert far_away("L1")["pv0"].value == pytest.approx(4.035, abs=0.0005)
    assert far_away("L1", "L1")["pv1"].value == pytest.approx(5.565, abs=0.0005)


def test_voltage_rise_is_that_of_one_line() -> None:
    alike, apart = far_away("L1", "L1", phases=3), far_away("L1", "L2", phases=3)
    alone = far_away("L1", phases=3)
    assert apart["pv0"].value == alone["pv0"].value
    assert float(alike["pv0"].value or 0) > float(alone["pv0"].value or 0)


def test_without_cable_and_statement_the_rise_is_open() -> None:
    verdict = on(voltage_rise_of_generation, circuit("c", "way1", cable=None))
    assert verdict is not None
    assert verdict.missing == ("equipment.pv.source.voltage_rise_percent",)


def vehicle(**facts: object) -> tuple[Outcome, str, tuple[str, ...]]:
    given = {"isolator_ac": True, "isolator_dc": True} | facts
    source = Source(kind=SourceKind.VEHICLE, rated_current_a=16.0, **given)  # type: ignore[arg-type]
    verdict = on(vehicle_as_a_source, source=charger("car", "c", source=source))
    assert verdict is not None
    return verdict.outcome, verdict.case, verdict.missing


def test_a_charger_that_feeds_back_is_isolated_at_both_ends_and_counts() -> None:
    assert vehicle() == (COMPLIES, "counts_as_generation", ())
    assert vehicle(counts_in_registered_capacity=False) == (FAILS, "counts_as_generation", ())
    assert vehicle(isolator_ac=False) == (FAILS, "isolator_ac", ())
    assert vehicle(isolator_dc=False) == (FAILS, "isolator_dc", ())
    assert vehicle(isolator_dc=None) == (OPEN, "", ("equipment.car.source.isolator_dc",))


def test_other_sources_are_no_vehicles() -> None:
    assert on(vehicle_as_a_source) is None
