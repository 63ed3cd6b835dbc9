"""Ranges of the scenario data against figures that are published; each source stands beside its check.

Values marked "from memory" were not compared with the print.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.domain.generator.drawn import task, with_choices
from trainer.domain.calculations.demand import maximum_demand_a
from trainer.domain.equipment import EquipmentKind
from trainer.domain.generator.data import Family
from trainer.domain.generator.specs import each_value
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, EarthingSystem
from trainer.services.scenarios import scenarios

DATA = scenarios()
SUPPLIES = [(each.id, supply) for each in DATA.archetypes.values() for supply in each.supplies]

# Highest declared external impedance in ohm. Source: network operators' declared values as in Guidance Note 3
# and the distributors' public pages (TN-C-S 0.35, TN-S 0.80); from memory.
DECLARED_OHM = {EarthingSystem.TN_C_S: 0.35, EarthingSystem.TN_S: 0.80}
# An electrode above this may not be stable. Source: BS 7671 Table 41.5, note; from memory.
STABLE_OHM = 200.0
# Highest declared fault level of a single-phase service, kA. Source: Engineering Recommendation P25; from memory.
SINGLE_PHASE_KA = 16.0
# Cut-outs of services up to 100 A are fused with 60, 80 or 100 A (BS 88-3); common practice.
FUSES_A = {60, 80, 100}
# Typical ratings. Sources: IEC 61851-1 mode 3 (16 or 32 A a line); makers' public ranges of UK showers
# (7.5 to 10.8 kW), immersion heaters (2.75 or 3 kW, BS EN 60335-2-73), hobs (up to 7.4 kW); common practice.
POWER_W = {"shower": (7500, 10800), "immersion": (2700, 3000), "hob_induction": (6000, 7400), "cooker": (6000, 14000)}
CHARGER_A = {16.0, 26.0, 32.0}
# 26 A is what bidirectional units of 6 kW draw; common practice.

ONE_ITEM = frozenset(EquipmentKind) - {EquipmentKind.SOCKET_LOADS, EquipmentKind.IT, EquipmentKind.LUMINAIRES}


def values(family: Family, name: str) -> Iterator[Any]:
    """All values, or the ends of the range, that a family or one of its variants can have."""
    for facts in (family.facts, *(variant.facts for variant in family.variants)):
        for path, spec in facts:
            if path == name:
                yield from each_value(spec)


def currents_a(family: Family) -> list[float]:
    phases = max(values(family, "phases"))
    stated = [float(each) for each in values(family, "rated_current_a")]
    return stated or [each / (230.0 * phases) for each in values(family, "rated_power_w")]


def highest_leakage_ma(current_a: float, *, plug_in: bool) -> float:
    """IEC 61140, protective conductor currents of a.c. equipment up to 32 A; from memory.

    Plugged in: 2 mA up to 4 A, 0.5 mA/A up to 10 A, then 5 mA. Permanently connected: 3.5 mA up to 7 A,
    0.5 mA/A up to 20 A, then 10 mA.
    """
    if plug_in:
        return 2.0 if current_a <= 4 else min(0.5 * current_a, 5.0)
    return 3.5 if current_a <= 7 else min(0.5 * current_a, 10.0)


@pytest.mark.parametrize(("archetype", "supply"), SUPPLIES)
def test_supplies_lie_within_the_declared_values(archetype, supply):
    facts = {path: list(each_value(spec)) for path, spec in (*supply.facts, *supply.earthing)}
    assert set(map(int, facts["fuse_rated_current_a"])) <= FUSES_A, archetype
    for ohm in facts.get("external_earth_fault_loop_impedance_ohm", []):
        assert 0.05 <= ohm <= DECLARED_OHM[supply.system], archetype
    for ohm in facts.get("electrode_resistance_ohm", []):
        assert 5 <= ohm <= STABLE_OHM, archetype
    for current in facts.get("prospective_fault_current_ka", []):
        assert 0.3 <= current <= SINGLE_PHASE_KA, archetype


@pytest.mark.parametrize("family", DATA.families.values(), ids=list(DATA.families))
def test_the_leakage_of_one_item_is_what_the_product_standards_allow(family):
    currents = currents_a(family)
    if family.kind not in ONE_ITEM or not currents:
        return
    plug_in = any(values(family, "plug_in"))
    allowed = highest_leakage_ma(max(currents), plug_in=plug_in)
    assert max(values(family, "protective_conductor_current_ma")) <= allowed


@pytest.mark.parametrize("family", [f for f in DATA.families.values() if f.kind is EquipmentKind.CHARGER], ids=str)
def test_charging_points_have_the_currents_of_mode_3(family):
    assert set(currents_a(family)) <= CHARGER_A


@pytest.mark.parametrize("name", sorted(POWER_W))
def test_household_loads_have_usual_ratings(name):
    low, high = POWER_W[name]
    assert all(low <= each <= high for each in values(DATA.families[name], "rated_power_w"))


def test_motors_on_line_start_with_four_to_nine_times_their_current():
    """Source: IEC 60034-12, locked-rotor ratios of small cage motors up to about 9; from memory."""
    for family in DATA.families.values():
        starting = list(values(family, "motor.starting_current_a"))
        if starting:
            currents = currents_a(family)
            assert min(starting) / max(currents) > 4, family.id
            assert max(starting) / min(currents) < 11, family.id


def test_a_ring_final_circuit_is_no_longer_than_the_guides_allow():
    """106 m of 2.5/1.5 mm2 cable behind 32 A, curve B. Source: On-Site Guide, table of lengths; from memory."""
    rings = [each for seed in range(500, 620) for each in task(seed, 3).house.circuits.values() if each.ring]
    assert len(rings) > 20
    assert max(each.cable.length_m for each in rings) <= 106


@pytest.mark.parametrize("level", [4, 5])
def test_the_demand_of_a_site_is_within_its_service_fuse(level):
    for seed in range(500, 520):
        house = with_choices(task(seed, level), {})
        demand, _ = maximum_demand_a(house, house.circuits.values(), limits_for(DEFAULT_EDITION))
        assert demand <= house.supply.fuse_rated_current_a


def test_the_fault_current_of_a_pme_supply_follows_from_its_impedance():
    """U0 / Ze, hand calculation; with three phases the highest, between lines, is about twice that."""
    supplies = [task(seed, 2).house.supply for seed in range(500, 560)]
    declared = [each for each in supplies if each.earthing_system is EarthingSystem.TN_C_S]
    assert len(declared) > 10
    for supply in declared:
        expected = 230 / supply.external_earth_fault_loop_impedance_ohm / 1000 * (2 if supply.phases > 1 else 1)
        assert supply.prospective_fault_current_ka == pytest.approx(expected, abs=0.06)
