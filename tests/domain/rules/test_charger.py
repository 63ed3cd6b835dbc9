"""Charging points: circuit, load, supply, phases, enclosure.

Outside values: full current without diversity (BS 7671 722.311, seen in a public text); external
impedances as network operators declare them (seen in a public text). For the phases and the enclosure
nothing outside is known beyond the clauses named in the rules.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    device,
    everyday_supply,
    house,
    item,
    rcbo,
    rccb,
    verdicts,
)
from tests.domain.rules.chargers import on, result
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.charger import (
    charger_at_full_current,
    charger_on_its_own_circuit,
    chargers_device_opens_all_live_conductors,
    dedicated_connection_point,
    hours_of_full_load_in_the_enclosure,
    no_pen_in_the_chargers_circuit,
    phases_of_chargers,
    residual_protection_of_the_charger,
    supply_adequate_for_charging,
)
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Outcome

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def test_other_equipment_is_no_charging_point() -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c"))
    for rule in (
        charger_on_its_own_circuit,
        charger_at_full_current,
        no_pen_in_the_chargers_circuit,
        residual_protection_of_the_charger,
        chargers_device_opens_all_live_conductors,
        dedicated_connection_point,
        supply_adequate_for_charging,
        phases_of_chargers,
        hours_of_full_load_in_the_enclosure,
    ):
        assert verdicts(rule, of) == {}


# --- own circuit --------------------------------------------------------------------------------------


def test_a_charger_alone_on_its_circuit_and_device_complies() -> None:
    assert result(charger_on_its_own_circuit) == (COMPLIES, "own_circuit")


@pytest.mark.parametrize("facts", [{"socket_outlets": True}, {"luminaires": True}])
def test_a_charger_shares_its_circuit_with_nothing(facts: dict[str, bool]) -> None:
    shared = (FAILS, "shared_circuit")
    assert result(charger_on_its_own_circuit, circuit("c", "way1", **facts)) == shared
    assert result(charger_on_its_own_circuit, item("lamp", "c")) == shared


def test_a_charger_shares_its_overcurrent_device_with_nothing() -> None:
    assert result(charger_on_its_own_circuit, circuit("d", "way1")) == (FAILS, "shared_overcurrent_device")


def test_a_charger_has_an_overcurrent_device() -> None:
    assert result(charger_on_its_own_circuit, rccb("way1")) == (FAILS, "no_overcurrent_device")


def test_a_sub_board_that_feeds_the_charger_alone_is_its_own_circuit() -> None:
    chain = (breaker("feed"), circuit("feeder", "feed"), Board(id="garage", fed_by="feeder"))
    way = rccb("way1", board="garage", fed_by="garage")
    assert result(charger_on_its_own_circuit, *chain, way) == (COMPLIES, "own_circuit")


# --- full current --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stated_a", "facts", "expected", "case", "counted_a"),
    [
        (None, {}, COMPLIES, "full_current", 32.0),
        (32.0, {}, COMPLIES, "full_current", 32.0),
        (31.9, {}, FAILS, "full_current", 32.0),
        (32.0, {"points": 2}, FAILS, "full_current", 64.0),
        (20.0, {"load_limit_a": 20.0, "load_limit_fail_safe": True}, COMPLIES, "load_limit", 20.0),
        (20.0, {"load_limit_a": 20.0, "load_limit_fail_safe": False}, FAILS, "load_limit_not_fail_safe", 32.0),
    ],
)
def test_a_charger_counts_in_full_or_by_a_fail_safe_limit(
    stated_a: float | None, facts: dict[str, object], expected: Outcome, case: str, counted_a: float
) -> None:
    verdict = on(charger_at_full_current, circuit("c", "way1", design_current_a=stated_a), **facts)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.limit) == (expected, case, counted_a)


def test_the_demand_shows_points_current_and_limit() -> None:
    verdict = on(charger_at_full_current, points=2, load_limit_a=20.0, load_limit_fail_safe=True)
    assert verdict is not None
    terms = Finding(charger_at_full_current, "equipment.ev", verdict).terms
    assert [(term.name, term.value) for term in terms] == [("points", 2), ("rated_current", 32.0), ("load_limit", 20.0)]


def test_a_limit_of_unknown_reliability_or_an_unknown_current_leaves_it_open() -> None:
    unsure = on(charger_at_full_current, load_limit_a=20.0)
    unknown = on(charger_at_full_current, rated_current_a=None)
    assert unsure is not None
    assert unsure.missing == ("equipment.ev.charger.load_limit_fail_safe",)
    assert unknown is not None
    assert unknown.missing == ("equipment.ev.rated_current_a",)


@pytest.mark.parametrize(("pen", "expected"), [(False, COMPLIES), (True, FAILS)])
def test_the_circuit_of_a_charger_contains_no_pen(pen: bool, expected: Outcome) -> None:
    assert result(no_pen_in_the_chargers_circuit, circuit("c", "way1", contains_pen=pen))[0] is expected


@pytest.mark.parametrize(("plug_in", "expected"), [(False, COMPLIES), (True, FAILS)])
def test_a_charger_has_a_connection_point_of_its_own(plug_in: bool, expected: Outcome) -> None:
    assert result(dedicated_connection_point, plug_in=plug_in)[0] is expected


# --- supply -----------------------------------------------------------------------------------------------


def supply(system: EarthingSystem | None = EarthingSystem.TN_C_S, **facts: object) -> Verdict:
    of = house(rcbo("way1"), circuit("c", "way1"), charger("ev", "c"), supply=everyday_supply(system, **facts))
    return verdicts(supply_adequate_for_charging, of)["installation"]


@pytest.mark.parametrize(
    ("system", "external_ohm", "expected"),
    [
        # Declared by network operators: 0.35 ohm for TN-C-S, 0.8 ohm for TN-S (seen in a public text).
        (EarthingSystem.TN_C_S, 0.35, COMPLIES),
        (EarthingSystem.TN_C_S, 0.36, ADVICE),
        (EarthingSystem.TN_S, 0.8, COMPLIES),
        (EarthingSystem.TN_S, 0.81, ADVICE),
        (EarthingSystem.TT, 80.0, COMPLIES),
    ],
)
def test_the_external_impedance_stays_within_what_is_declared(
    system: EarthingSystem | None, external_ohm: float | None, expected: Outcome
) -> None:
    facts = {"declared_adequate": True, "external_earth_fault_loop_impedance_ohm": external_ohm}
    assert supply(system, **facts).outcome is expected


def test_a_supply_declared_inadequate_fails() -> None:
    assert supply(declared_adequate=False).case == "declared_inadequate"


def test_an_unknown_declaration_or_impedance_leaves_it_open() -> None:
    assert supply(declared_adequate=None).missing == ("supply.declared_adequate",)
    facts = {"declared_adequate": True, "external_earth_fault_loop_impedance_ohm": None}
    assert supply(**facts).missing == ("supply.external_earth_fault_loop_impedance_ohm",)


# --- phases -----------------------------------------------------------------------------------------------


def chargers_on(*lines: str) -> dict[str, Verdict]:
    ways = [rcbo(f"way{n}") for n in range(len(lines))]
    circuits = [circuit(f"c{n}", f"way{n}", line=line) for n, line in enumerate(lines)]
    points = [charger(f"ev{n}", f"c{n}") for n in range(len(lines))]
    return verdicts(phases_of_chargers, house(*ways, *circuits, *points, phases=3))


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (("L1", "L2", "L3"), COMPLIES),
        (("L1", "L2"), COMPLIES),
        (("L1", "L1"), ADVICE),
        (("L1", "L1", "L2", "L3"), COMPLIES),
        (("L1", "L1", "L1", "L2"), ADVICE),
    ],
)
def test_single_phase_chargers_are_spread_over_the_lines(lines: tuple[str, ...], expected: Outcome) -> None:
    assert chargers_on(*lines)["ev0"].outcome is expected


def test_one_single_phase_charger_has_nothing_to_spread() -> None:
    assert chargers_on("L1") == {}
    assert on(phases_of_chargers) is None


@pytest.mark.parametrize(("neutral", "expected"), [(True, COMPLIES), (False, FAILS)])
def test_a_three_phase_charger_has_a_neutral(neutral: bool, expected: Outcome) -> None:
    own = circuit("c", "way1", phases=3, has_neutral=neutral)
    of = house(rcbo("way1", poles=4), own, charger("ev", "c", phases=3), phases=3)
    assert verdicts(phases_of_chargers, of)["ev"].outcome is expected


# --- enclosure --------------------------------------------------------------------------------------------


def warm(factor: float | None, rated_a: float) -> Verdict | None:
    board, way = Board(id="main", rated_diversity_factor=factor), rcbo("way1", rated_current_a=rated_a)
    return on(hours_of_full_load_in_the_enclosure, board, way)


@pytest.mark.parametrize(
    ("factor", "rated_a", "expected"),
    [(1.0, 32.0, COMPLIES), (0.8, 40.0, COMPLIES), (0.79, 40.0, FAILS), (0.8, 32.0, FAILS)],
)
def test_hours_of_full_load_stay_within_rating_times_factor(factor: float, rated_a: float, expected: Outcome) -> None:
    verdict = warm(factor, rated_a)
    assert verdict is not None
    assert (verdict.outcome, verdict.value) == (expected, 32.0)


def test_an_unknown_factor_or_current_leaves_the_enclosure_open() -> None:
    unknown = warm(None, 32.0)
    assert unknown is not None
    assert unknown.missing == ("boards.main.rated_diversity_factor",)
    board = Board(id="main", rated_diversity_factor=1.0)
    no_current = on(hours_of_full_load_in_the_enclosure, board, rated_current_a=None)
    assert no_current is not None
    assert no_current.missing == ("equipment.ev.rated_current_a",)


def test_without_an_overcurrent_device_there_is_nothing_to_warm() -> None:
    assert on(hours_of_full_load_in_the_enclosure, device("way1", DeviceKind.SWITCH)) is None


def test_a_supply_declared_inadequate_is_a_failure() -> None:
    assert supply(declared_adequate=False).outcome is FAILS


def test_a_three_phase_supply_with_other_loads_has_no_phases_to_judge() -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c"), phases=3)
    assert verdicts(phases_of_chargers, of) == {}


def test_three_phase_chargers_do_not_crowd_a_line() -> None:
    own = circuit("c2", "way2", phases=3)
    of = house(
        rcbo("way0"),
        rcbo("way1"),
        rcbo("way2", poles=4),
        circuit("c0", "way0", line="L1"),
        circuit("c1", "way1", line="L2"),
        own,
        charger("ev0", "c0"),
        charger("ev1", "c1"),
        charger("ev2", "c2", phases=3),
        item("load", "c0"),
        phases=3,
    )
    verdict = verdicts(phases_of_chargers, of)["ev0"]
    assert (verdict.outcome, verdict.value, verdict.limit) == (COMPLIES, 1, 1)
    assert verdicts(phases_of_chargers, of)["ev2"].case == "neutral"


def test_a_circuit_of_any_name_beside_the_charger_shares_its_device() -> None:
    for other in ("a", "d"):
        assert result(charger_on_its_own_circuit, circuit(other, "way1")) == (FAILS, "shared_overcurrent_device")


def test_on_one_phase_there_is_nothing_to_spread() -> None:
    ways, circuits = (rcbo("way1"), rcbo("way2")), (circuit("c", "way1"), circuit("d", "way2"))
    of = house(*ways, *circuits, charger("ev", "c"), charger("ev2", "d"))
    assert verdicts(phases_of_chargers, of) == {}


def test_two_of_three_chargers_on_one_line_are_one_too_many() -> None:
    # An even share of three over three lines is one.
    found = chargers_on("L1", "L1", "L2")
    assert (found["ev0"].outcome, found["ev0"].value, found["ev0"].limit) == (ADVICE, 2, 1)
    assert found["ev2"].outcome is COMPLIES


@pytest.mark.parametrize("kind", [each for each in EquipmentKind if each is not EquipmentKind.CHARGER])
def test_other_equipment_asks_for_no_word_on_the_supply(kind: EquipmentKind) -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c", kind))
    assert verdicts(supply_adequate_for_charging, of) == {}
