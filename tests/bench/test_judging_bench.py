"""Judging a ten-circuit house by all rules, beside the bare conditions as plain functions.

``pytest tests/bench/test_judging_bench.py --benchmark-enable`` shows both in one table; the aim is
at most three times the bare conditions. A fresh house remembers nothing; a known one what was asked.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.bench.bare import CONDITIONS, hold, wholes
from tests.bench.ten_circuits import ten_circuits
from trainer.domain.answers.decisions import Edit, apply_edits
from trainer.domain.equipment import NeutralEarthLink, SensesOpenPen
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import (
    DEFAULT_EDITION,
    Curve,
    Direction,
    Location,
    Outcome,
    Premises,
    RcdType,
    ResidualDelay,
    Stated,
)

LIMITS = limits_for(DEFAULT_EDITION)


@pytest.mark.bench
def test_all_rules_on_a_fresh_house(benchmark: BenchmarkFixture) -> None:
    benchmark.pedantic(judge, setup=lambda: ((ten_circuits(), ALL_RULES), {}), rounds=500)


@pytest.mark.bench
def test_bare_conditions_on_a_fresh_house(benchmark: BenchmarkFixture) -> None:
    benchmark.pedantic(hold, setup=lambda: ((ten_circuits(), LIMITS), {}), rounds=500)


@pytest.mark.bench
def test_all_rules_on_a_known_house(benchmark: BenchmarkFixture) -> None:
    benchmark(judge, ten_circuits(), ALL_RULES)


@pytest.mark.bench
def test_bare_conditions_on_a_known_house(benchmark: BenchmarkFixture) -> None:
    benchmark(hold, ten_circuits(), LIMITS)


VARIANTS: tuple[tuple[str, Any], ...] = (
    ("boards.main.noncombustible", False),
    ("boards.main.rated_current_a", 100.0),
    ("boards.main.rated_diversity_factor", 0.1),
    ("boards.main.tails_length_m", 4.0),
    ("boards.main.tails_mm2", 16.0),
    ("boards.main.ways", 10),
    ("circuits.battery.socket_outlets", True),
    ("circuits.pv.cable.length_m", 200.0),
    ("circuits.charger.contains_pen", True),
    ("circuits.charger.design_current_a", 3.0),
    ("circuits.cooker.cable.cross_section_mm2", 2.5),
    ("circuits.heat_pump.measured_earth_fault_loop_impedance_ohm", 0.9),
    ("circuits.heat_pump.measured_insulation_mohm", 0.5),
    ("circuits.cooker.cable.grouped_with", 5),
    ("circuits.lights.cable.in_safe_zone", False),
    ("circuits.lights.critical", True),
    ("circuits.ring.cable.cross_section_mm2", 1.5),
    ("devices.battery_way.rcd_type", RcdType.A),
    ("devices.charger_way.rated_residual_operating_current_ma", 100.0),
    ("devices.charger_way.rcd_type", RcdType.AC),
    ("devices.charger_way.residual_delay", ResidualDelay.S),
    ("devices.charger_way.standard", "invented standard"),
    ("devices.charger_way.poles", 1),
    ("devices.garage_rccb.rcd_type", RcdType.AC),
    ("devices.garage_sockets_way.breaking_capacity_ka", 0.3),
    ("devices.garage_way.fed_by", "main_switch"),
    ("devices.heat_pump_way.curve", Curve.B),
    ("devices.heat_pump_way.rated_current_a", 32.0),
    ("devices.heat_pump_way.rcd_type", RcdType.F),
    ("devices.lights_way.rated_current_a", 32.0),
    ("devices.main_switch.isolates", False),
    ("devices.main_switch.rated_current_a", 63.0),
    ("devices.pv_way.direction", Direction.UNIDIRECTIONAL),
    ("devices.pv_way.fed_by", "shared"),
    ("devices.pv_way.rcd_type", RcdType.A),
    ("devices.ring_way.measured_break_time_ms", 350.0),
    ("devices.ring_way.rated_residual_operating_current_ma", 300.0),
    ("devices.shared.rated_current_a", 25.0),
    ("devices.shared.rcd_type", RcdType.AC),
    ("earthing.earthing_conductor_mm2", 6.0),
    ("earthing.island_electrode_resistance_ohm", 300.0),
    ("earthing.island_electrode_resistance_ohm", None),
    ("earthing.main_bonding_mm2", 6.0),
    ("equipment.battery.battery.alarm_linked", False),
    ("equipment.battery.battery.location", Location.LOFT),
    ("equipment.battery.source.island_fault_current_a", 0.1),
    ("equipment.battery.source.isolator_dc", False),
    ("equipment.battery.source.neutral_earth_link", NeutralEarthLink.FIXED),
    ("equipment.battery.source.neutral_earth_link", NeutralEarthLink.NONE),
    ("equipment.battery.source.plug_connected", True),
    ("equipment.battery.source.voltage_rise_percent", 3.0),
    ("equipment.charger.charger.direct_current_detection", Stated.SILENT),
    ("equipment.charger.charger.load_limit_fail_safe", False),
    ("equipment.charger.charger.open_pen", SensesOpenPen.SILENT),
    ("circuits.charger.luminaires", True),
    ("equipment.heat_pump.maker_maximum_overcurrent_device_a", 16.0),
    ("equipment.heat_pump.motor.starting_current_a", 300.0),
    ("equipment.heat_pump.protective_conductor_current_ma", 12.0),
    ("equipment.pv.galvanic_separation", True),
    ("equipment.pv.pv_array.class_ii", False),
    ("equipment.pv.pv_array.frame_earthing", "bonded"),
    ("equipment.pv.pv_array.maximum_input_voltage_v", 420.0),
    ("equipment.pv.pv_array.string_fuse_rated_current_a", None),
    ("equipment.pv.pv_array.string_fuse_rated_current_a", 32.0),
    ("equipment.pv.source.isolator_dc", False),
    ("equipment.shower.rated_current_a", 45.0),
    ("network.export_limited", False),
    ("network.generation_route", "G98"),
    ("network.load_route", "notify_within_28_days"),
    ("notices", frozenset()),
    ("premises", Premises.HMO),
    ("stated_maximum_demand_a", 120.0),
    ("supply.declared_adequate", False),
    ("supply.external_earth_fault_loop_impedance_ohm", 1.5),
    ("supply.fuse_rated_current_a", 60.0),
    ("supply.prospective_fault_current_ka", 20.0),
    ("surge.device", SurgeDeviceType.NONE),
    ("surge.external_lightning_protection", True),
    ("surge.lead_length_m", 0.9),
)


def varied(path: str, value: Any) -> Installation:
    if "." not in path:
        return replace(ten_circuits(), **{path: value})
    return apply_edits(ten_circuits(), [Edit(path=path, value=value)])


def by_rules(house: Installation) -> dict[tuple[str, str], bool]:
    return {
        (finding.rule.id, finding.subject.rpartition(".")[2]): finding.outcome is Outcome.COMPLIES
        for finding in judge(house, ALL_RULES)
        if finding.outcome is not Outcome.UNDETERMINED
    }


def by_conditions(house: Installation) -> dict[tuple[str, str], bool]:
    return {(rule_id, record): answer for rule_id, record, answer in hold(house, LIMITS)}


STATED = {rule_id for conditions in (*CONDITIONS.values(), wholes.CONDITIONS) for rule_id in conditions}


def test_every_rule_that_says_something_of_the_house_has_its_bare_condition() -> None:
    said = {finding.rule.id for finding in judge(ten_circuits(), ALL_RULES)}
    assert said <= STATED
    assert len(ten_circuits().circuits) == 10


def test_rules_and_bare_conditions_agree_on_the_house() -> None:
    assert by_rules(ten_circuits()) == by_conditions(ten_circuits())


@pytest.mark.parametrize(("path", "value"), VARIANTS, ids=[f"{path}={value}" for path, value in VARIANTS])
def test_rules_and_bare_conditions_agree_on_a_house_that_was_changed(path: str, value: Any) -> None:
    house = varied(path, value)
    rules, conditions = by_rules(house), by_conditions(house)
    assert {key: answer for key, answer in rules.items() if key[0] in STATED} == conditions
    assert conditions != by_conditions(ten_circuits())


def test_most_conditions_fail_in_some_variant() -> None:
    failing = {key[0] for path, value in VARIANTS for key, holds in by_rules(varied(path, value)).items() if not holds}
    assert len(failing & STATED) > 0.8 * len(STATED)
