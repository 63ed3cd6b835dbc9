"""The earth fault loop: by hand from handbook rows of R1 + R2 and the multiplier at operating temperature."""

from __future__ import annotations

import pytest

from tests.domain.houses import BOARD, breaker, cable, changed, charger, circuit, everyday_supply, house
from tests.domain.published import published
from trainer.domain.cables import Cable, CableType
from trainer.domain.calculations import loops
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Terms
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DEFAULT_EDITION, EarthingSystem

LIMITS = limits_for(DEFAULT_EDITION)


def zs(home: Installation, name: str = "c") -> float:
    return loops.earth_fault_loop_impedance(home, home.circuits[name], LIMITS)[0]


def named(home: Installation, name: str = "c") -> list[tuple[str, float]]:
    terms: Terms = loops.earth_fault_loop_impedance(home, home.circuits[name], LIMITS)[1]
    return [(term.name, round(term.value, 5)) for term in (terms() if callable(terms) else terms)]


def missing(home: Installation, name: str = "c") -> tuple[str, ...]:
    with pytest.raises(MissingFactError) as gap:
        loops.earth_fault_loop_impedance(home, home.circuits[name], LIMITS)
    return gap.value.paths


@pytest.mark.parametrize("row", published("r1_r2"))
def test_a_flat_cable_adds_its_handbook_row_at_seventy_degrees(row: dict[str, str]) -> None:
    # Hand calculation: Ze 0.35 ohm, 23 m, multiplier 1.20 (handbook).
    run = cable(
        cross_section_mm2=float(row["line_mm2"]), protective_conductor_mm2=float(row["protective_mm2"]), length_m=23.0
    )
    by_hand = 0.35 + float(row["r1_r2_milliohm_per_m"]) * 1.20 * 23 / 1000
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == pytest.approx(by_hand, abs=2e-5)


def test_a_shower_circuit_of_10_over_4_has_the_impedance_worked_by_hand() -> None:
    # 10/4 mm2 flat, 15 m from a TN-S supply of 0.8 ohm: 0.8 + 6.44 x 1.20 x 15 / 1000 = 0.9159 ohm
    run = cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0, length_m=15.0)
    supply = everyday_supply(EarthingSystem.TN_S, external_earth_fault_loop_impedance_ohm=0.8)
    assert zs(house(breaker("b"), circuit("c", "b", cable=run), supply=supply)) == pytest.approx(0.9159, abs=5e-5)


def test_an_armoured_cable_returns_through_its_armour() -> None:
    # 4 mm2, 2 cores, 90 C cable, 30 m: line 4.61 x 1.28 = 5.9008, armour 7.9 x (1 + 0.0045 x 60) = 10.033 milliohm/m;
    # (5.9008 + 10.033) x 30 / 1000 = 0.4780 ohm
    run = Cable(type=CableType.ARMOURED_THERMOSETTING_90, cross_section_mm2=4.0, length_m=30.0, reference_method="C")
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == pytest.approx(0.35 + 0.4780, abs=5e-5)


def test_armour_is_that_of_the_number_of_cores() -> None:
    # Three phases with neutral need four cores: 6 mm2, 10 m at 70 C: 3.08 x 1.20 + 4.3 x (1 + 0.0045 x 40) = 8.77
    run = Cable(type=CableType.ARMOURED_THERMOPLASTIC_70, cross_section_mm2=6.0, length_m=10.0, reference_method="C")
    home = house(breaker("b", poles=4), circuit("c", "b", cable=run, phases=3), phases=3)
    assert zs(home) == pytest.approx(0.35 + 0.0877, abs=5e-5)


def test_armour_of_larger_cables_is_known_from_memory() -> None:
    # 10 mm2, 2 cores, 70 C, 10 m: 1.83 x 1.20 + 6.0 x 1.18 = 9.276 milliohm/m
    run = Cable(type=CableType.ARMOURED_THERMOPLASTIC_70, cross_section_mm2=10.0, length_m=10.0, reference_method="C")
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == pytest.approx(0.35 + 0.09276, abs=5e-6)


def test_a_core_as_protective_conductor_counts_instead_of_the_armour() -> None:
    # 3.08 x 2 x 1.28 x 10 / 1000 = 0.0788
    run = Cable(
        type=CableType.ARMOURED_THERMOSETTING_90,
        cross_section_mm2=6.0,
        protective_conductor_mm2=6.0,
        length_m=10.0,
        reference_method="C",
    )
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == pytest.approx(0.35 + 0.07885, abs=5e-5)


def test_a_conductor_held_at_seventy_degrees_has_the_lower_multiplier() -> None:
    run = Cable(
        type=CableType.ARMOURED_THERMOSETTING_90,
        cross_section_mm2=6.0,
        protective_conductor_mm2=6.0,
        length_m=10.0,
        reference_method="C",
        conductor_temperature_c=70.0,
    )
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == pytest.approx(0.35 + 0.07392, abs=5e-6)


def test_a_stated_temperature_above_the_cables_own_does_not_count() -> None:
    run = cable(conductor_temperature_c=90.0)
    assert zs(house(breaker("b"), circuit("c", "b", cable=run))) == zs(house(breaker("b"), circuit("c", "b")))


def test_a_ring_counts_a_quarter_of_its_cable() -> None:
    # 2.5/1.5 mm2, 60 m round: 19.51 x 1.20 x 60 / 4 / 1000 = 0.3512 ohm
    ring = circuit("c", "b", cable=cable(length_m=60.0), ring=True)
    assert zs(house(breaker("b"), ring)) == pytest.approx(0.35 + 0.35118, abs=5e-6)


def beyond_a_garage_board(system: EarthingSystem = EarthingSystem.TN_C_S) -> Installation:
    feeder = circuit("sub", "b", cable=cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0, length_m=20.0))
    return house(
        breaker("b"),
        feeder,
        Board(id="garage", fed_by="sub"),
        breaker("g", board="garage", fed_by="garage"),
        circuit("c", "g"),
        system=system,
        earthing=Earthing(electrode_resistance_ohm=60.0),
    )


def test_distribution_circuits_come_before_the_final_circuit() -> None:
    # 20 m of 10/4: 1.83 and 4.61; 20 m of 2.5/1.5: 7.41 and 12.1 milliohm/m, all x 1.20
    assert named(beyond_a_garage_board()) == [
        ("external_earth_fault_loop_impedance", 0.35),
        ("distribution_line_conductor_resistance", 0.04392),
        ("distribution_protective_conductor_resistance", 0.11064),
        ("line_conductor_resistance", 0.17784),
        ("protective_conductor_resistance", 0.2904),
    ]
    assert zs(beyond_a_garage_board()) == pytest.approx(0.97280, abs=5e-6)


def test_in_tt_the_electrode_stands_for_the_supply_and_the_protective_conductors() -> None:
    assert named(beyond_a_garage_board(EarthingSystem.TT)) == [
        ("earth_electrode_resistance", 60.0),
        ("distribution_line_conductor_resistance", 0.04392),
        ("line_conductor_resistance", 0.17784),
    ]


def test_a_charger_with_its_own_electrode_leaves_the_supply_earth() -> None:
    point = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE, electrode_resistance_ohm=80.0)
    assert named(house(breaker("b"), circuit("c", "b"), point))[0] == ("earth_electrode_resistance", 80.0)


def test_a_charger_on_the_installation_earth_keeps_it() -> None:
    point = charger("ev", "c", earthing=ChargerEarthing.DEVICE_SENSING_VOLTAGE, electrode_resistance_ohm=80.0)
    assert named(house(breaker("b"), circuit("c", "b"), point))[0] == ("external_earth_fault_loop_impedance", 0.35)


def test_what_is_not_stated_is_named() -> None:
    fed = circuit("c", "b")
    unknown_ze = everyday_supply(external_earth_fault_loop_impedance_ohm=None)
    own = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE)
    flat = cable(protective_conductor_mm2=None)
    assert missing(house(breaker("b"), fed, supply=unknown_ze)) == ("supply.external_earth_fault_loop_impedance_ohm",)
    assert missing(house(breaker("b"), fed, system=None)) == ("supply.earthing_system",)
    assert missing(house(breaker("b"), fed, system=EarthingSystem.TT)) == ("earthing.electrode_resistance_ohm",)
    assert missing(house(breaker("b"), fed, own)) == ("equipment.ev.charger.electrode_resistance_ohm",)
    assert missing(house(breaker("b"), changed(fed, cable=None))) == ("circuits.c.cable",)
    assert missing(house(breaker("b"), changed(fed, cable=flat))) == ("circuits.c.cable.protective_conductor_mm2",)


@pytest.mark.parametrize(
    ("facts", "path"),
    [
        ({"cross_section_mm2": 3.0}, "circuits.c.cable.cross_section_mm2"),
        ({"protective_conductor_mm2": 2.0}, "circuits.c.cable.protective_conductor_mm2"),
        (
            {"type": CableType.ARMOURED_THERMOPLASTIC_70, "protective_conductor_mm2": None, "cross_section_mm2": 35.0},
            "circuits.c.cable.cross_section_mm2",
        ),
    ],
)
def test_a_size_outside_the_tables_is_named(facts: dict[str, object], path: str) -> None:
    assert missing(house(breaker("b"), circuit("c", "b", cable=cable(**facts)))) == (path,)


def test_a_circuit_straight_from_its_board_has_the_loop_of_that_board() -> None:
    assert zs(house(circuit("c", BOARD))) == pytest.approx(0.81824)
