"""Calculations of earth fault loops: Zs, R1 + R2, the largest Zs of a device, a measured value, TT electrodes."""

from __future__ import annotations

from trainer.domain.calculations import disconnection, electrode, loops
from trainer.domain.calculations.catalogue.records import (
    CABLE,
    CURVE,
    FUSE,
    LENGTH,
    LINE_SIZE,
    NOMINAL_VOLTAGE,
    PHASES,
    PROTECTIVE_SIZE,
    RATED,
    RATED_OPTIONAL,
    RING,
    TEMPERATURE,
    TIME,
    circuit_from,
    device_from,
)
from trainer.domain.calculations.catalogue.shape import (
    Calculation,
    Parameter,
    Result,
    SourcedTerm,
    Values,
    compared,
    given,
    needed,
    number,
    taken,
    word,
)
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.citations import Citation
from trainer.domain.findings import total, within
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import DeviceKind, Outcome

_ZE = Parameter(
    name="external_earth_fault_loop_impedance_ohm",
    short="ze",
    label="external earth fault loop impedance",
    unit="ohm",
)


def _voltage(values: Values, limits: Limits) -> float:
    return number(values, "nominal_voltage_to_earth_v") or limits.overcurrent.table_voltage_v.value


def _conductors(values: Values, limits: Limits) -> tuple[SourcedTerm, ...]:
    circuit = circuit_from(values)
    copper = limits.earthing.conductor_resistance
    cable = loops.cable_of(circuit)
    armour = limits.earthing.armour_resistance if cable.protective_conductor_mm2 is None else copper
    return (
        taken("line_conductor_resistance", loops.line_conductor_ohm(circuit, limits), copper, "ohm"),
        taken("protective_conductor_resistance", loops.protective_conductor_ohm(circuit, limits), armour, "ohm"),
    )


def _largest(values: Values, limits: Limits) -> float | None:
    device = device_from(values)
    if device is None:
        return None
    time_s = float(word(values, "maximum_disconnection_time_s") or "0.4")
    return disconnection.maximum_impedance_ohm(device, time_s, _voltage(values, limits), limits)


def _zs(values: Values, limits: Limits) -> Result:
    terms = (
        given("external_earth_fault_loop_impedance", needed(values, _ZE.name), "ohm"),
        *_conductors(values, limits),
    )
    value, limit = total(term.value for term in terms), _largest(values, limits)
    citation = limits.overcurrent.minimum_voltage_factor.citation
    return Result(value=value, unit="ohm", terms=terms, limit=limit, outcome=compared(value, limit), citation=citation)


def _r1_r2(values: Values, limits: Limits) -> Result:
    terms = _conductors(values, limits)
    citation = limits.earthing.conductor_resistance.citation
    return Result(value=total(term.value for term in terms), unit="ohm", terms=terms, citation=citation)


def _maximum_zs(values: Values, limits: Limits) -> Result:
    largest, device = _largest(values, limits), device_from(values)
    if largest is None or device is None:
        raise MissingFactError("curve", "standard")
    factor = limits.overcurrent.minimum_voltage_factor
    terms = [
        given("nominal_voltage_to_earth", _voltage(values, limits), "V"),
        taken("minimum_voltage_factor", factor.value, factor, ""),
        given("rated_current", device.rated_current_a, "A"),
    ]
    if device.curve is not None:
        multiple = disconnection.instantaneous_multiple(device.curve, limits)
        terms.append(taken("instantaneous_multiple", multiple, limits.devices.instantaneous_multiples))
    citation = _table_of(device.kind, device.standard, limits)
    return Result(value=largest, unit="ohm", terms=tuple(terms), citation=citation)


def _table_of(kind: DeviceKind, standard: str | None, limits: Limits) -> Citation:
    table = disconnection.fuse_table(standard, limits) if kind is DeviceKind.FUSE else None
    return (table or limits.overcurrent.maximum_impedance_breaker).citation


_MEASURED = Parameter(
    name="measured_earth_fault_loop_impedance_ohm", short="measured", label="measured Zs, conductors cold", unit="ohm"
)


def _measured(values: Values, limits: Limits) -> Result:
    largest = _largest(values, limits)
    if largest is None:
        raise MissingFactError("curve", "standard")
    share = limits.verification.measured_impedance_share
    value, accepted = needed(values, _MEASURED.name), largest * share.value
    device = device_from(values)
    table = limits.overcurrent.maximum_impedance_breaker
    if device is not None and device.kind is DeviceKind.FUSE:
        table = disconnection.fuse_table(device.standard, limits) or table
    terms = (
        given("measured_impedance", value, "ohm"),
        taken("maximum_impedance", largest, table),
        taken("share_accepted_cold", share.value, share, ""),
    )
    return Result(
        value=value,
        unit="ohm",
        terms=terms,
        limit=accepted,
        outcome=_judged_cold(value, accepted, largest),
        citation=share.citation,
    )


def _judged_cold(value: float, accepted: float, largest: float) -> Outcome:
    """Above the share accepted for a cold conductor, yet within the table, is to be investigated, as OC-03 advises."""
    if within(value, accepted):
        return Outcome.COMPLIES
    return Outcome.ADVICE if within(value, largest) else Outcome.DOES_NOT_COMPLY


_RA = Parameter(
    name="earth_electrode_resistance_ohm",
    short="ra",
    label="resistance of the electrode with its conductor",
    unit="ohm",
)
_IDN = Parameter(
    name="rated_residual_operating_current_ma",
    short="idn",
    label="rated residual operating current",
    unit="mA",
    minimum=1.0,
)


def _electrode(values: Values, limits: Limits) -> Result:
    resistance, rating = needed(values, _RA.name), needed(values, _IDN.name)
    limit = limits.earthing.touch_voltage_v
    volts = electrode.touch_voltage_v(resistance, rating)
    highest = electrode.highest_electrode_resistance_ohm(limit.value, rating)
    return Result(
        value=volts,
        unit="V",
        terms=(
            given("earth_electrode_resistance", resistance, "ohm"),
            given("rated_residual_operating_current", rating, "mA"),
            taken("highest_resistance_for_this_rating", highest, limit, "ohm"),
        ),
        limit=limit.value,
        outcome=compared(volts, limit.value),
        citation=limit.citation,
    )


_CABLE_PARAMETERS = (CABLE, LINE_SIZE, PROTECTIVE_SIZE, LENGTH, TEMPERATURE, PHASES, RING)
ENTRIES = (
    Calculation(
        name="zs",
        title="Earth fault loop impedance at the end of a circuit, against that of its device",
        formula="Zs = Ze + (R1 + R2), R = r20 * (1 + alpha * (t - 20)) * L",
        parameters=(_ZE, *_CABLE_PARAMETERS, CURVE, FUSE, RATED_OPTIONAL, TIME, NOMINAL_VOLTAGE),
        compute=_zs,
    ),
    Calculation(
        name="r1r2",
        title="R1 + R2 of a cable at operating temperature",
        formula="R1 + R2 = (r1 + r2) * (1 + alpha * (t - 20)) * L",
        parameters=_CABLE_PARAMETERS,
        compute=_r1_r2,
    ),
    Calculation(
        name="maximum-zs",
        title="Largest earth fault loop impedance for a device and a disconnection time",
        formula="Zs = U0 * Cmin / Ia, as printed where the tables have the rating",
        parameters=(CURVE, FUSE, RATED, TIME, NOMINAL_VOLTAGE),
        compute=_maximum_zs,
    ),
    Calculation(
        name="measured-zs",
        title="A measured loop impedance against 0.8 of the tabulated one",
        formula="measured Zs <= 0.8 * Zs max",
        parameters=(_MEASURED, CURVE, FUSE, RATED, TIME, NOMINAL_VOLTAGE),
        compute=_measured,
    ),
    Calculation(
        name="electrode",
        title="Voltage on exposed parts of a TT installation at the rating of its residual current device",
        formula="RA * I-delta-n <= 50 V",
        parameters=(_RA, _IDN),
        compute=_electrode,
    ),
)
