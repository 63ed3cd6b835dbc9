"""Calculations of demand, of an open PEN conductor, and of PV strings."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.domain.calculations import open_pen, string_voltage
from trainer.domain.calculations.catalogue.shape import (
    Calculation,
    Pairs,
    Parameter,
    Result,
    SourcedTerm,
    Values,
    compared,
    given,
    needed,
    number,
    pairs,
    source,
    taken,
    word,
)
from trainer.domain.calculations.diversity import (
    COOKING,
    HEATING_AND_POWER,
    LUMINAIRES,
    SHOWER,
    SOCKET_OUTLETS,
    after_diversity_a,
)
from trainer.domain.calculations.facts import PER_MILLI, PERCENT
from trainer.domain.calculations.open_pen import LineCurrents
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.findings import total
from trainer.domain.limits import Limits

_KINDS = (
    LUMINAIRES,
    SOCKET_OUTLETS,
    COOKING,
    SHOWER,
    HEATING_AND_POWER,
    "charger",
    "heat_pump",
    "water_heater",
    "other",
)
_LOAD = Parameter(
    name="load", short="load", label="a load as KIND=AMPS, as often as wanted", unit="A", choices=_KINDS, many=True
)
_FUSE = Parameter(
    name="fuse_rated_current_a", short="fuse", label="rated current of the service fuse", unit="A", required=False
)

_COOKER_SOCKET = Parameter(
    name="cooking_socket_outlet",
    short="cooker-socket",
    label="yes where the cooker's control unit has a socket-outlet",
    required=False,
    choices=("no", "yes"),
)


def _demand(values: Values, limits: Limits) -> Result:
    loads = pairs(values, _LOAD.name)
    citation = limits.network.diversity["lighting"].citation
    terms = [
        SourcedTerm(name=kind, value=after_diversity_a(kind, currents, limits), unit="A", source=source(citation))
        for kind, currents in _by_kind(loads)
    ]
    if word(values, _COOKER_SOCKET.name) == "yes":
        if not any(kind == COOKING for kind, _ in loads):
            problem = "belongs to a cooker: give its current as a load as well"
            raise OutOfRangeError(Problem(path=_COOKER_SOCKET.short, value="yes", problem=problem))
        outlet = limits.network.diversity["cooking_socket_outlet_a"]
        terms.append(taken(_COOKER_SOCKET.name, outlet.value, outlet))
    value, fuse = total(term.value for term in terms), number(values, _FUSE.name)
    return Result(
        value=value, unit="A", terms=tuple(terms), limit=fuse, outcome=compared(value, fuse), citation=citation
    )


def _by_kind(loads: Pairs) -> Iterable[tuple[str, list[float]]]:
    found: dict[str, list[float]] = {}
    for kind, amps in loads:
        found.setdefault(kind, []).append(amps)
    return found.items()


def _line(name: str, short: str) -> Parameter:
    return Parameter(
        name=name, short=short, label="current of the line; negative when it feeds", unit="A", minimum=None
    )


_LINES = (_line("l1_a", "l1"), _line("l2_a", "l2"), _line("l3_a", "l3"))


def _open_pen(values: Values, limits: Limits) -> Result:
    lines = LineCurrents(*(needed(values, each.name) for each in _LINES))
    limit, factor = limits.charger.open_pen_voltage_v, limits.charger.highest_voltage_factor
    nominal = limits.overcurrent.table_voltage_v
    highest = factor.value * nominal.value
    if open_pen.sum_of_currents_a(lines) <= 0:
        problem = "their sum must be above 0 A; the formula has no meaning for a site that feeds into the network"
        raise OutOfRangeError(Problem(path="l1, l2, l3", problem=problem))
    volts = open_pen.open_pen_voltage_v(lines, highest)
    return Result(
        value=volts,
        unit="V",
        terms=(
            *(given(each.name.removesuffix("_a"), amps, "A") for each, amps in zip(_LINES, lines, strict=True)),
            taken("highest_voltage", highest, factor, "V"),
            SourcedTerm(
                name="neutral_current",
                value=open_pen.neutral_current_a(lines),
                unit="A",
                source="BS 7671:2018, Annex A722, A722.1",
            ),
            taken("additional_electrode", _electrode_ohm(lines, limits), limits.charger.electrode_ohm, "ohm"),
        ),
        limit=limit.value,
        outcome=compared(volts, limit.value),
        citation=limit.citation,
    )


def _electrode_ohm(lines: LineCurrents, limits: Limits) -> float:
    """RA of A722.3; the note's value where the formula has no result or a larger one."""
    charger, nominal = limits.charger, limits.overcurrent.table_voltage_v.value
    ohm = open_pen.additional_electrode_ohm(
        lines, nominal, charger.highest_voltage_factor.value * nominal, charger.open_pen_voltage_v.value
    )
    return min(ohm, charger.electrode_ohm.value)


_MODULES = Parameter(name="modules_in_series", short="modules", label="modules in series", minimum=1.0, whole=True)
_UOC = Parameter(name="open_circuit_voltage_v", short="uoc", label="open-circuit voltage of a module at 25 C", unit="V")
# Within 1 %/K either way: modules state about a third of that. Common practice, from memory; it is there to
# catch mV/K typed as %/K, and decides no verdict.
_COEFFICIENT = Parameter(
    name="voltage_coefficient_percent_per_k",
    short="coefficient",
    label="temperature coefficient of the voltage",
    unit="%/K",
    required=False,
    minimum=-1.0,
    maximum=1.0,
)
_COEFFICIENT_MV = Parameter(
    name="voltage_coefficient_mv_per_k",
    short="coefficient-mv",
    label="the same coefficient of one module, where its sheet states it in volts",
    unit="mV/K",
    required=False,
    minimum=None,
)
_COLDEST = Parameter(
    name="minimum_temperature_c",
    short="coldest",
    label="lowest temperature of the modules",
    unit="deg C",
    required=False,
    minimum=None,
)
_HIGHEST_INPUT = Parameter(
    name="maximum_input_voltage_v", short="maximum", label="maximum input voltage", unit="V", required=False
)


def _coefficient_percent(values: Values, open_circuit_voltage_v: float) -> float | None:
    """The coefficient in %/K, worked out from mV/K of the module where that is given."""
    percent, millivolts = number(values, _COEFFICIENT.name), number(values, _COEFFICIENT_MV.name)
    if millivolts is None:
        return percent
    paths = f"{_COEFFICIENT.short}, {_COEFFICIENT_MV.short}"
    if percent is not None:
        raise OutOfRangeError(Problem(path=paths, problem="are the same in two units; leave one out"))
    most = (_COEFFICIENT.maximum or 1) / PERCENT * open_circuit_voltage_v * PER_MILLI
    if abs(millivolts) > most:
        problem = f"is more than 1 % of the open-circuit voltage for each kelvin ({most:g} mV)"
        raise OutOfRangeError(Problem(path=_COEFFICIENT_MV.short, value=f"{millivolts:g}", problem=problem))
    return millivolts / PER_MILLI / open_circuit_voltage_v * PERCENT if millivolts else 0.0


def _string_voltage(values: Values, limits: Limits) -> Result:
    modules, volts = needed(values, _MODULES.name), needed(values, _UOC.name)
    coefficient, coldest = _coefficient_percent(values, volts), number(values, _COLDEST.name)
    reference, fallback = limits.sources.standard_test_temperature_c, limits.sources.voltage_factor_without_data
    if coefficient is None or coldest is None:
        factor = taken("voltage_factor", fallback.value, fallback, "")
    else:
        worked = string_voltage.voltage_factor(coefficient, coldest, reference.value)
        factor = taken("voltage_factor", worked, reference, "")
    value = string_voltage.string_voltage_v(int(modules), volts, factor.value)
    highest = number(values, _HIGHEST_INPUT.name)
    return Result(
        value=value,
        unit="V",
        terms=(given("modules_in_series", modules, ""), given("open_circuit_voltage", volts, "V"), factor),
        limit=highest,
        outcome=compared(value, highest),
        citation=fallback.citation,
    )


ENTRIES = (
    Calculation(
        name="demand",
        title="Maximum demand of a single dwelling with diversity, against the service fuse",
        formula="sum over the kinds of load of connected current * allowance; 5 A for a socket-outlet at the cooker",
        parameters=(_LOAD, _COOKER_SOCKET, _FUSE),
        compute=_demand,
    ),
    Calculation(
        name="open-pen",
        title="Voltage of the earthing terminal with the PEN conductor open, and the electrode that limits it",
        formula="U = Cmax * U0 * Im / (I1 + I2 + I3); RA = 70 * U0 / (Cmax * U0 * Im - 70 * (I1 + I2 + I3))",
        parameters=_LINES,
        compute=_open_pen,
    ),
    Calculation(
        name="string-voltage",
        title="Highest voltage of a PV string at low temperature, against what the inverter bears",
        formula="Umax = Ns * Uoc * (1 + |alpha| * (25 - Tmin) / 100), alpha in %/K",
        parameters=(_MODULES, _UOC, _COEFFICIENT, _COEFFICIENT_MV, _COLDEST, _HIGHEST_INPUT),
        compute=_string_voltage,
    ),
)
