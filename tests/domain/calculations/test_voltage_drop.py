"""Voltage drop by hand: mV/A/m x Ib x L / 1000."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import breaker, cable, circuit, everyday_supply, house, item
from trainer.domain.cables import CableType
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.voltage_drop import maximum_voltage_drop_v, voltage_drop_v
from trainer.domain.devices import Board
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION

LIMITS = limits_for(DEFAULT_EDITION)


def drop(home: Installation) -> float:
    return voltage_drop_v(home, home.circuits["c"], LIMITS)[0]


def allowed(home: Installation) -> float:
    return maximum_voltage_drop_v(home, home.circuits["c"], LIMITS)


def simple(run: Any = None, **facts: Any) -> Installation:
    return house(breaker("b"), circuit("c", "b", cable=run or cable(), design_current_a=20.0, **facts))


def test_a_single_phase_run() -> None:
    # 18 x 20 x 20 / 1000
    assert drop(simple()) == pytest.approx(7.2)


def test_the_design_current_follows_from_the_equipment() -> None:
    assert drop(house(breaker("b"), circuit("c", "b"), item("i", "c"))) == pytest.approx(3.6)


def test_a_ring_counts_a_quarter_of_its_cable() -> None:
    assert drop(simple(ring=True)) == pytest.approx(1.8)


def test_a_three_phase_run_has_the_three_phase_value() -> None:
    # 6 mm2 multicore: 6.4 x 20 x 20 / 1000
    run = cable(type=CableType.MULTICORE_THERMOPLASTIC_70, cross_section_mm2=6.0)
    assert drop(simple(run, phases=3)) == pytest.approx(2.56)


@pytest.mark.parametrize(("temperature_c", "mv"), [(None, 7.9), (90.0, 7.9), (70.0, 7.3)])
def test_a_cooler_conductor_drops_less(temperature_c: float | None, mv: float) -> None:
    run = cable(type=CableType.ARMOURED_THERMOSETTING_90, cross_section_mm2=6.0, conductor_temperature_c=temperature_c)
    assert drop(simple(run)) == pytest.approx(mv * 20 * 20 / 1000)


def beyond(phases: int, **facts: Any) -> Installation:
    run = cable(type=CableType.MULTICORE_THERMOPLASTIC_70, cross_section_mm2=10.0, length_m=30.0)
    return house(
        breaker("b", poles=4),
        circuit("sub", "b", cable=run, phases=phases, design_current_a=40.0),
        Board(id="garage", fed_by="sub"),
        breaker("g", board="garage", fed_by="garage"),
        circuit("c", "g", design_current_a=20.0, **facts),
        phases=phases,
    )


def test_the_drop_of_a_distribution_circuit_adds() -> None:
    # 4.4 x 40 x 30 / 1000 = 5.28; 7.2
    home = beyond(1)
    assert drop(home) == pytest.approx(12.48)
    terms = voltage_drop_v(home, home.circuits["c"], LIMITS)[1]
    assert callable(terms)
    assert [(t.name, round(t.value, 3), t.unit) for t in terms()] == [
        ("distribution_circuit_drop", 5.28, "V"),
        ("final_circuit_drop", 7.2, "V"),
    ]


def test_a_three_phase_section_counts_by_the_root_of_three() -> None:
    # 3.8 x 40 x 30 / 1000 = 4.56 V between lines, 2.633 V to neutral
    assert drop(beyond(3)) == pytest.approx(7.2 + 2.6327, abs=1e-4)


def test_a_stated_drop_to_the_board_replaces_what_lies_before_it() -> None:
    assert drop(beyond(1, voltage_drop_to_board_v=2.0)) == pytest.approx(9.2)


@pytest.mark.parametrize(
    ("facts", "volts"),
    [({}, 11.5), ({"luminaires": True}, 6.9), ({"phases": 3}, 20.0), ({"phases": 3, "luminaires": True}, 12.0)],
)
def test_three_and_five_percent_in_volts(facts: dict[str, Any], volts: float) -> None:
    # Seen in a public text: 6.9 V and 11.5 V at 230 V, 20 V in three phases.
    assert allowed(simple(**facts)) == pytest.approx(volts)


def test_the_share_is_of_the_nominal_voltage() -> None:
    home = house(breaker("b"), circuit("c", "b"), supply=everyday_supply(nominal_voltage_to_earth_v=240.0))
    assert allowed(home) == pytest.approx(12.0)


@pytest.mark.parametrize(
    ("run", "path"), [(cable(cross_section_mm2=25.0), "circuits.c.cable.cross_section_mm2"), (None, "circuits.c.cable")]
)
def test_what_is_missing_is_named(run: Any, path: str) -> None:
    home = house(breaker("b"), circuit("c", "b", cable=run, design_current_a=20.0))
    with pytest.raises(MissingFactError) as gap:
        drop(home)
    assert gap.value.paths == (path,)
