"""The numbers that a field can plausibly hold. Outside them a number is refused as a slip.

These are no limits of a standard: they are wide enough for the worst real installation and
narrow enough to notice a wrong unit. Fields whose range depends on others stand in ``values``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from trainer.domain.errors import Problem
from trainer.domain.validation.units import Unit, unit_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """From ``minimum`` to ``maximum``; zero as well where ``zero`` is set.

    ``above`` says what a number above the range most likely is, where that is no wrong unit.
    """

    minimum: float
    maximum: float
    zero: bool = False
    above: str = ""

    def holds(self, value: float) -> bool:
        """True when the number is plausible."""
        return self.minimum <= value <= self.maximum or (self.zero and value == 0)

    def __str__(self) -> str:
        """The range in words."""
        words = f"{self.minimum:g} to {self.maximum:g}"
        return f"0, or {words}" if self.zero and self.minimum > 0 else words


_CURRENT = Range(minimum=0.01, maximum=5000)
_SECTION = Range(minimum=0.5, maximum=630)
_KELVIN = "looks like kelvin"

RANGES: Final[Mapping[str, Range]] = MappingProxyType(
    {
        # currents
        "rated_current_a": _CURRENT,
        "fuse_rated_current_a": Range(minimum=2, maximum=5000),
        "charging_current_a": _CURRENT,
        "declared_load_current_a": _CURRENT,
        "design_current_a": Range(minimum=0.01, maximum=5000, zero=True),
        "island_fault_current_a": Range(minimum=0.5, maximum=10000),
        "load_limit_a": Range(minimum=1, maximum=2000),
        "maker_maximum_overcurrent_device_a": Range(minimum=0.5, maximum=2000),
        "maker_minimum_circuit_current_a": Range(minimum=0.1, maximum=2000),
        "module_maximum_overcurrent_protection_a": Range(minimum=1, maximum=100),
        "short_circuit_current_a": Range(minimum=0.05, maximum=50),
        "socket_outlet_rated_current_a": Range(minimum=1, maximum=125),
        "starting_current_a": Range(minimum=0.1, maximum=10000),
        "stated_maximum_demand_a": Range(minimum=0.1, maximum=5000, zero=True),
        "string_fuse_rated_current_a": Range(minimum=1, maximum=100),
        "prospective_fault_current_ka": Range(minimum=0.05, maximum=100),
        "breaking_capacity_ka": Range(minimum=0.5, maximum=150),
        "conditional_rating_ka": Range(minimum=0.5, maximum=150),
        "direct_current_detection_ma": Range(minimum=1, maximum=1000),
        "rated_residual_operating_current_ma": Range(minimum=5, maximum=30000),
        "maker_rcd_rated_residual_operating_current_ma": Range(minimum=5, maximum=30000),
        "protective_conductor_current_ma": Range(minimum=0.02, maximum=2000, zero=True),
        "standing_dc_ma": Range(minimum=0.02, maximum=1000, zero=True),
        # voltages and impedances
        "nominal_voltage_to_earth_v": Range(minimum=100, maximum=300, above="looks like the voltage between lines"),
        "maximum_input_voltage_v": Range(minimum=10, maximum=2000),
        "open_circuit_voltage_v": Range(
            minimum=1, maximum=200, above="looks like the voltage of a whole string, not of one module"
        ),
        "voltage_drop_to_board_v": Range(minimum=0.001, maximum=60, zero=True),
        "voltage_rise_percent": Range(minimum=0.01, maximum=30, zero=True),
        "voltage_coefficient_percent_per_k": Range(minimum=-1, maximum=1),
        "external_earth_fault_loop_impedance_ohm": Range(minimum=0.001, maximum=20000),
        "measured_earth_fault_loop_impedance_ohm": Range(minimum=0.001, maximum=20000),
        "electrode_resistance_ohm": Range(minimum=0.01, maximum=20000),
        "island_electrode_resistance_ohm": Range(minimum=0.01, maximum=20000),
        "measured_insulation_mohm": Range(minimum=0.001, maximum=20000, zero=True),
        # power, time
        "rated_power_w": Range(minimum=0.5, maximum=2_000_000),
        "agreed_export_limit_w": Range(minimum=100, maximum=2_000_000, zero=True),
        "open_pen_disconnects_within_s": Range(minimum=0.01, maximum=60),
        "measured_break_time_ms": Range(minimum=1, maximum=10000),
        # lengths, sections, temperatures
        "length_m": Range(minimum=0.1, maximum=2000),
        "lead_length_m": Range(minimum=0.01, maximum=20),
        "tails_length_m": Range(minimum=0.05, maximum=200),
        "distance_to_openings_m": Range(minimum=0.01, maximum=500, zero=True),
        "concealed_depth_mm": Range(minimum=1, maximum=600, zero=True),
        "insulation_contact_mm": Range(minimum=5, maximum=50000, zero=True),
        "cross_section_mm2": _SECTION,
        "protective_conductor_mm2": _SECTION,
        "earthing_conductor_mm2": _SECTION,
        "main_bonding_mm2": _SECTION,
        "neutral_mm2": _SECTION,
        "tails_mm2": _SECTION,
        "ambient_c": Range(minimum=-40, maximum=90, above=_KELVIN),
        "ground_c": Range(minimum=-20, maximum=60, above=_KELVIN),
        "minimum_temperature_c": Range(minimum=-60, maximum=40, above=_KELVIN),
        "conductor_temperature_c": Range(minimum=30, maximum=120, above=_KELVIN),
        "terminals_temperature_c": Range(minimum=30, maximum=120, above=_KELVIN),
        "soil_resistivity_k_m_per_w": Range(minimum=0.2, maximum=10),
        "rated_diversity_factor": Range(minimum=0.1, maximum=1),
        # counts
        "grouped_with": Range(minimum=0, maximum=50),
        "modules": Range(minimum=1, maximum=36),
        "modules_in_series": Range(minimum=1, maximum=100),
        "strings_in_parallel": Range(minimum=1, maximum=100),
        "points": Range(minimum=1, maximum=100),
        "poles": Range(minimum=1, maximum=4),
        "phases": Range(minimum=1, maximum=3),
        "way": Range(minimum=1, maximum=500),
        "ways": Range(minimum=1, maximum=500),
        "year_installed": Range(minimum=1880, maximum=2200),
    }
)

_ANY: Final = Range(minimum=-1e9, maximum=1e9)


def range_of(name: str) -> Range:
    """The plausible range of a field; a field that is not listed takes any usual number."""
    return RANGES.get(name, _ANY)


def implausible(path: str, name: str, value: float, allowed: Range) -> Problem | None:
    """The problem of a number that is not finite or lies outside its range, else None."""
    if not math.isfinite(value):
        return Problem(path=path, value=str(value), problem=f"must be a finite number{_in(unit_of(name))}")
    if allowed.holds(value):
        return None
    unit = unit_of(name)
    hint, nearest = _hint(value, allowed, unit)
    side = "high" if value > allowed.maximum else "low"
    return Problem(
        path=path,
        value=int(value) if float(value).is_integer() else value,
        problem=f"too {side} to be plausible{_in(unit)}{hint}",
        possible=(str(allowed),),
        nearest=nearest,
    )


def _in(unit: Unit | None) -> str:
    return f" in {unit.sign}" if unit is not None and unit.sign else ""


def _hint(value: float, allowed: Range, unit: Unit | None) -> tuple[str, str | None]:
    """What the number looks like, and the number that was then meant."""
    for other, factor in (unit.mistaken if unit is not None else {}).items():
        meant = round(value * factor, 9)
        outward = factor < 1 if value > allowed.maximum else factor > 1
        if outward and meant != 0 and allowed.holds(meant):
            return f"; looks like {other}", f"{meant:g}"
    said = allowed.above if value > allowed.maximum else ""
    return (f"; {said}" if said else ""), None
