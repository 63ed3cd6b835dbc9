"""Maximum demand with the diversity of guidance for a single dwelling, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import breaker, changed, charger, circuit, heat_pump, house, inverter, item
from trainer.domain.calculations.demand import design_current_a, maximum_demand_a
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Board
from trainer.domain.equipment import Equipment, EquipmentKind, Source, SourceKind
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Premises

LIMITS = limits_for(DEFAULT_EDITION)


def demand(home: Installation) -> float:
    return maximum_demand_a(home, home.circuits.values(), LIMITS)[0]


def with_loads(*kinds: tuple[EquipmentKind, float], **facts: Any) -> Installation:
    records: list[Any] = []
    for number, (kind, amps) in enumerate(kinds):
        records += [breaker(f"b{number}"), circuit(f"c{number}", f"b{number}")]
        records.append(item(f"i{number}", f"c{number}", kind, rated_current_a=amps))
    return house(*records, **facts)


@pytest.mark.parametrize(
    ("kinds", "amps"),
    [
        # cooker: 10 + 30 % of the rest (seen in a public text); all others from memory
        ([(EquipmentKind.HOB, 30.0)], 16.0),
        ([(EquipmentKind.HOB, 30.0), (EquipmentKind.OVEN, 20.0)], 22.0),
        ([(EquipmentKind.OVEN, 8.0)], 8.0),
        # lighting: 66 %
        ([(EquipmentKind.LUMINAIRES, 6.0), (EquipmentKind.LUMINAIRES, 4.0)], 6.6),
        # instantaneous water heaters: the two largest in full, 25 % of the rest
        ([(EquipmentKind.SHOWER, 40.0)], 40.0),
        ([(EquipmentKind.SHOWER, 30.0), (EquipmentKind.SHOWER, 40.0), (EquipmentKind.SHOWER, 36.0)], 83.5),
        # thermostatic water heater and heat pump in full
        ([(EquipmentKind.WATER_HEATER, 13.0)], 13.0),
        ([(EquipmentKind.HEAT_PUMP, 22.0)], 22.0),
        # heating and power: 10 A and half of the rest
        ([(EquipmentKind.OTHER, 8.0)], 8.0),
        ([(EquipmentKind.OTHER, 14.0), (EquipmentKind.WASHING_MACHINE, 10.0)], 17.0),
    ],
)
def test_each_kind_of_load_has_its_allowance(kinds: list[tuple[EquipmentKind, float]], amps: float) -> None:
    assert demand(with_loads(*kinds)) == pytest.approx(amps)


def test_socket_circuits_count_the_largest_and_forty_percent_of_the_others() -> None:
    # 32 + 0.4 x (32 + 20)
    records: list[Any] = []
    for name, rated_a in (("x", 20.0), ("y", 32.0), ("z", 32.0)):
        records += [breaker(name, rated_current_a=rated_a), circuit(f"c{name}", name, socket_outlets=True)]
    assert demand(house(*records)) == pytest.approx(52.8)


def test_a_socket_outlet_at_the_cooker_adds_five_amps() -> None:
    fed = (breaker("b"), circuit("c", "b", socket_outlets=True))
    assert demand(house(*fed, item("hob", "c", EquipmentKind.HOB, rated_current_a=30.0))) == pytest.approx(21.0)


@pytest.mark.parametrize(
    ("facts", "amps"),
    [
        ({}, 32.0),
        ({"load_limit_a": 10.0, "load_limit_fail_safe": True}, 10.0),
        ({"load_limit_a": 10.0, "load_limit_fail_safe": False}, 32.0),
        ({"points": 2}, 64.0),
    ],
)
def test_chargers_count_in_full_unless_their_load_is_controlled(facts: dict[str, Any], amps: float) -> None:
    assert demand(house(breaker("b"), circuit("c", "b"), charger("ev", "c", **facts))) == amps


def test_sources_count_only_with_what_storage_draws() -> None:
    fed = (breaker("b"), circuit("c", "b"))
    assert demand(house(*fed, inverter("pv", "c"))) == 0
    assert demand(house(*fed, inverter("bat", "c", SourceKind.BATTERY))) == 0
    assert demand(house(*fed, inverter("bat", "c", SourceKind.BATTERY, charging_current_a=13.0))) == 13.0


def test_other_premises_have_no_diversity() -> None:
    loads = [(EquipmentKind.HOB, 30.0), (EquipmentKind.OVEN, 20.0), (EquipmentKind.LUMINAIRES, 10.0)]
    assert demand(with_loads(*loads, premises=Premises.COMMERCIAL)) == pytest.approx(60.0)


def test_a_stated_design_current_counts_as_it_is() -> None:
    assert demand(house(breaker("b"), circuit("c", "b", design_current_a=17.0))) == 17.0


def test_the_worst_line_of_three_phases_counts() -> None:
    records = [
        breaker("b1"),
        circuit("c1", "b1", line="L1"),
        item("i1", "c1", EquipmentKind.WATER_HEATER, rated_current_a=13.0),
        breaker("b2"),
        circuit("c2", "b2", line="L2"),
        charger("ev", "c2"),
        breaker("b3", poles=4),
        circuit("c3", "b3", phases=3),
        heat_pump("hp", "c3", rated_current_a=16.0, phases=3),
    ]
    home = house(*records, phases=3)
    assert demand(home) == 48.0
    terms = maximum_demand_a(home, home.circuits.values(), LIMITS)[1]
    assert not callable(terms)
    assert {term.name: term.value for term in terms} == {"charger": 32.0, "heat_pump": 16.0}


def test_each_of_the_three_lines_is_looked_at() -> None:
    for line in ("L1", "L2", "L3"):
        home = house(breaker("b"), circuit("c", "b", line=line), charger("ev", "c"), phases=3)
        assert demand(home) == 32.0


def test_a_circuit_with_a_stated_current_is_named_by_what_it_feeds() -> None:
    stated = circuit("c", "b", design_current_a=17.0)
    for records, name in (
        ((stated,), "stated"),
        ((stated, heat_pump("hp", "c")), "heat_pump"),
        ((changed(stated, socket_outlets=True),), "socket_outlets"),
        ((changed(stated, socket_outlets=True), item("i", "c")), "heating_and_power"),
    ):
        home = house(breaker("b"), *records)
        terms = maximum_demand_a(home, home.circuits.values(), LIMITS)[1]
        assert not callable(terms)
        assert [(term.name, term.value, term.unit) for term in terms] == [
            (name, 13.5 if "power" in name else 17.0, "A")
        ]


def test_a_distribution_circuit_carries_what_lies_behind_further_boards() -> None:
    home = house(
        breaker("b"),
        circuit("sub", "b"),
        Board(id="barn", fed_by="sub"),
        breaker("b2", board="barn", fed_by="barn"),
        circuit("subsub", "b2"),
        Board(id="shed", fed_by="subsub"),
        breaker("b3", board="shed", fed_by="shed"),
        circuit("c", "b3"),
        charger("ev", "c"),
        breaker("b4", board="barn", fed_by="barn"),
        circuit("d", "b4"),
        heat_pump("hp", "d", rated_current_a=20.0),
        breaker("b5"),
        circuit("e", "b5"),
        heat_pump("hp2", "e", rated_current_a=15.0),
    )
    assert design_current_a(home, home.circuits["sub"], LIMITS)[0] == 52.0
    assert design_current_a(home, home.circuits["subsub"], LIMITS)[0] == 32.0


def test_a_vehicle_that_feeds_back_loads_its_circuit_with_the_larger_current() -> None:
    source = Source(kind=SourceKind.VEHICLE, rated_current_a=20.0)
    home = house(breaker("b"), circuit("c", "b"), charger("ev", "c", source=source))
    assert design_current_a(home, home.circuits["c"], LIMITS)[0] == 32.0
    assert demand(home) == 32.0


def test_only_cooking_alone_has_the_diversity_of_cooking_in_its_design_current() -> None:
    home = house(
        breaker("b"),
        circuit("c", "b"),
        item("hob", "c", EquipmentKind.HOB, rated_current_a=30.0),
        item("hood", "c", rated_current_a=1.0),
    )
    current, terms = design_current_a(home, home.circuits["c"], LIMITS)
    assert current == 31.0
    assert callable(terms)
    assert [(term.name, term.value, term.unit) for term in terms()] == [("hob", 30.0, "A"), ("other", 1.0, "A")]


def test_plugged_equipment_is_part_of_its_socket_circuit() -> None:
    fed = (breaker("b", rated_current_a=20.0), circuit("c", "b", socket_outlets=True))
    assert demand(house(*fed, item("dryer", "c", plug_in=True), item("any", "c", EquipmentKind.SOCKET_LOADS))) == 20.0


def test_equipment_without_current_or_power_is_named() -> None:
    with pytest.raises(MissingFactError) as gap:
        demand(house(breaker("b"), circuit("c", "b"), item("i", "c", rated_current_a=None)))
    assert gap.value.paths == ("equipment.i.rated_current_a",)


def test_equipment_of_every_kind_is_counted_somewhere() -> None:
    for kind in EquipmentKind:
        if kind is EquipmentKind.SOCKET_LOADS:
            continue
        home = house(breaker("b"), circuit("c", "b"), Equipment(id="i", circuit="c", kind=kind, rated_current_a=5.0))
        assert demand(home) > 0, kind
