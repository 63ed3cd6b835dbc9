"""Calculations of cables and currents: capacity, voltage drop, fault withstand, fault current, demand."""

from __future__ import annotations

from trainer.domain.calculations import adiabatic, cable_rating, voltage_drop
from trainer.domain.calculations.catalogue.records import (
    CABLE,
    LENGTH,
    LINE_SIZE,
    METHOD,
    PHASES,
    RATED_OPTIONAL,
    RING,
    TEMPERATURE,
    circuit_from,
)
from trainer.domain.calculations.catalogue.shape import (
    Calculation,
    Parameter,
    Result,
    Values,
    compared,
    given,
    needed,
    number,
    taken,
    word,
)
from trainer.domain.calculations.loops import cable_of, conductor_temperature_c
from trainer.domain.limits import Limits


def _optional(name: str, short: str, label: str, unit: str = "") -> Parameter:
    return Parameter(name=name, short=short, label=label, unit=unit, required=False)


def _rating(values: Values, limits: Limits) -> Result:
    circuit = circuit_from(values)
    cable = cable_of(circuit)
    rating = cable_rating.current_carrying_capacity(circuit, limits)
    design_c = conductor_temperature_c(cable, limits)
    table = cable_rating.rating_table(cable, design_c, limits)
    ambients, groups = cable_rating.factor_tables(cable, design_c, limits)
    terms = [taken("tabulated_rating", rating.tabulated_a, table)]
    for name, factor, origin in (
        ("ambient_factor", rating.ambient_factor, ambients),
        ("grouping_factor", rating.grouping_factor, groups),
        ("insulation_factor", rating.insulation_factor, limits.overcurrent.insulation_factor),
    ):
        terms.append(taken(name, factor, origin, ""))
    terms.append(taken("buried_factor", rating.buried_factor, limits.overcurrent.buried_factor, ""))
    rated = number(values, RATED_OPTIONAL.name)
    return Result(
        value=rating.capacity_a,
        unit="A",
        terms=tuple(terms),
        limit=rated,
        outcome=compared(rating.capacity_a, rated, at_least=True),
        citation=table.citation,
    )


_CURRENT = Parameter(name="design_current_a", short="current", label="design current", unit="A")
_LIGHTING = Parameter(
    name="lighting", short="lighting", label="yes for a lighting circuit", required=False, choices=("no", "yes")
)


def _drop(values: Values, limits: Limits) -> Result:
    circuit, current = circuit_from(values), needed(values, _CURRENT.name)
    per_metre, table = voltage_drop.tabulated_drop(circuit, limits)
    volts = voltage_drop.section_drop_v(circuit, current, limits)
    limit = voltage_drop.allowed_drop_v(circuit, limits.overcurrent.table_voltage_v.value, limits)
    return Result(
        value=volts,
        unit="V",
        terms=(
            taken("tabulated_drop", per_metre, table),
            given("design_current", current, "A"),
            given("length", needed(values, LENGTH.name), "m"),
        ),
        limit=limit,
        outcome=compared(volts, limit),
        citation=limits.overcurrent.voltage_drop_percent["other"].citation,
    )


_FAULT_CURRENT = Parameter(name="fault_current_a", short="current", label="fault current", unit="A")
_FAULT_TIME = Parameter(name="time_s", short="time", label="time until it is cleared", unit="s")
_USE = Parameter(
    name="use",
    short="use",
    label="use of the conductor; live_70 by default",
    required=False,
    choices=(
        "live_70",
        "live_90",
        "in_cable_70",
        "in_cable_90",
        "separate_70",
        "separate_90",
        "armour_70",
        "armour_90",
    ),
)
_SIZE = Parameter(
    name="cross_section_mm2", short="size", label="cross-section to compare with", unit="mm2", required=False
)


def _adiabatic(values: Values, limits: Limits) -> Result:
    current, time_s = needed(values, _FAULT_CURRENT.name), needed(values, _FAULT_TIME.name)
    factor = limits.earthing.k_factor[word(values, _USE.name) or "live_70"]
    least = adiabatic.withstanding_mm2(adiabatic.energy_a2s(current, time_s), factor.value)
    size = number(values, _SIZE.name)
    outcome = None if size is None else compared(least, size)
    return Result(
        value=least,
        unit="mm2",
        terms=(
            given("fault_current", current, "A"),
            given("time", time_s, "s"),
            taken("k", factor.value, factor),
        ),
        limit=size,
        outcome=outcome,
        citation=factor.citation,
    )


ENTRIES = (
    Calculation(
        name="cable-rating",
        title="Current-carrying capacity of a cable as it is installed, against a device",
        formula="Iz = It * Ca * Cg * Ci * Cc",
        parameters=(
            CABLE,
            LINE_SIZE,
            METHOD,
            PHASES,
            TEMPERATURE,
            Parameter(
                name="ambient_c",
                short="ambient",
                label="air temperature; 30 by default",
                unit="deg C",
                required=False,
                minimum=None,
            ),
            Parameter(
                name="grouped_with",
                short="grouped",
                label="other loaded circuits beside it",
                required=False,
                whole=True,
            ),
            Parameter(
                name="bunched", short="bunched", label="no for a single layer", required=False, choices=("yes", "no")
            ),
            _optional("insulation_contact_mm", "insulation", "length in thermal insulation", "mm"),
            _optional("ground_c", "ground", "ground temperature, method D; 20 by default", "deg C"),
            _optional("soil_resistivity_k_m_per_w", "soil", "thermal resistivity of the soil, method D", "K m/W"),
            RATED_OPTIONAL,
        ),
        compute=_rating,
    ),
    Calculation(
        name="drop",
        title="Voltage drop in a cable, against the share allowed",
        formula="(mV/A/m) * Ib * L / 1000, in a ring a quarter of L",
        parameters=(CABLE, LINE_SIZE, LENGTH, _CURRENT, PHASES, RING, TEMPERATURE, _LIGHTING),
        compute=_drop,
    ),
    Calculation(
        name="adiabatic",
        title="Least cross-section that withstands a fault",
        formula="S = sqrt(I^2 * t) / k",
        parameters=(_FAULT_CURRENT, _FAULT_TIME, _USE, _SIZE),
        compute=_adiabatic,
    ),
)
