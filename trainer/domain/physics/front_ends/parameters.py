"""What can be set in a front end and its fault: names, units and ranges."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FaultPoint(StrEnum):
    """Where the insulation of a front end fails against earth."""

    LINE = "line"
    CONTROLLED_LINE = "controlled_line"
    DC_POSITIVE = "dc_positive"
    DC_NEGATIVE = "dc_negative"
    DC_MIDDLE = "dc_middle"
    INVERTER_OUTPUT = "inverter_output"


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One quantity of a front end: unit, default and the range in which the model holds."""

    name: str
    label: str
    unit: str
    default: float
    minimum: float
    maximum: float
    step: float | None = None
    """Grid on which a value must lie; None where every value in the range is possible."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEndParameters:
    """Quantities of a front end and its fault; None takes the default of the front end.

    ``supply_voltage_v`` is the r.m.s. voltage between line and neutral.
    ``firing_angle_deg`` counts from the zero crossing of the supply.
    ``output_frequency_hz`` and ``carrier_frequency_hz`` belong to the inverter of a frequency
    converter. ``link_voltage_v`` is a d.c. voltage held by control or by a PV or battery string.
    ``supply_phases`` is what the supply offers; ``galvanic_separation`` puts a transformer
    between the d.c. side and the supply.
    """

    supply_voltage_v: float | None = None
    load_power_w: float | None = None
    fault_resistance_ohm: float | None = None
    firing_angle_deg: float | None = None
    output_frequency_hz: float | None = None
    carrier_frequency_hz: float | None = None
    link_capacitance_uf: float | None = None
    choke_inductance_mh: float | None = None
    link_voltage_v: float | None = None
    burst_on_periods: int | None = None
    burst_off_periods: int | None = None
    supply_phases: int | None = None
    galvanic_separation: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A checked front end with its fault: every quantity has a value.

    ``samples`` counts the half-step samples of one 50 Hz period.
    """

    fault_point: FaultPoint
    samples: int
    supply_voltage_v: float
    load_power_w: float
    fault_resistance_ohm: float
    firing_angle_deg: float
    output_frequency_hz: float
    carrier_frequency_hz: float
    link_capacitance_uf: float
    choke_inductance_mh: float
    link_voltage_v: float
    burst_on_periods: int
    burst_off_periods: int
    galvanic_separation: bool


VOLTAGE = Parameter(
    name="supply_voltage_v",
    label="Supply voltage, line to neutral",
    unit="V",
    default=230.0,
    minimum=180.0,
    maximum=260.0,
)
FAULT_RESISTANCE = Parameter(
    name="fault_resistance_ohm",
    label="Fault resistance",
    unit="ohm",
    default=1000.0,
    minimum=1.0,
    maximum=1e6,
)
FIRING_ANGLE = Parameter(
    name="firing_angle_deg",
    label="Firing angle",
    unit="deg",
    default=90.0,
    minimum=0.0,
    maximum=170.0,
)
OUTPUT_FREQUENCY = Parameter(
    name="output_frequency_hz",
    label="Output frequency",
    unit="Hz",
    default=30.0,
    minimum=10.0,
    maximum=60.0,
    step=1.0,
)
CARRIER_FREQUENCY = Parameter(
    name="carrier_frequency_hz",
    label="Carrier frequency",
    unit="Hz",
    default=4000.0,
    minimum=1000.0,
    maximum=16000.0,
    step=50.0,
)
BURST_ON = Parameter(
    name="burst_on_periods",
    label="Periods on",
    unit="periods",
    default=2.0,
    minimum=1.0,
    maximum=25.0,
    step=1.0,
)
BURST_OFF = Parameter(
    name="burst_off_periods",
    label="Periods off",
    unit="periods",
    default=3.0,
    minimum=1.0,
    maximum=25.0,
    step=1.0,
)


def load_power(default_w: float, maximum_w: float, minimum_w: float = 20.0) -> Parameter:
    """The power that the load takes at nominal voltage."""
    return Parameter(
        name="load_power_w",
        label="Load power",
        unit="W",
        default=default_w,
        minimum=minimum_w,
        maximum=maximum_w,
    )


def link_capacitance(default_uf: float) -> Parameter:
    """The capacitance across the whole d.c. link."""
    return Parameter(
        name="link_capacitance_uf",
        label="Link capacitance",
        unit="uF",
        default=default_uf,
        minimum=50.0,
        maximum=20000.0,
    )


def choke_inductance(default_mh: float) -> Parameter:
    """The choke between rectifier and link capacitor, in the positive pole."""
    return Parameter(
        name="choke_inductance_mh",
        label="Choke inductance",
        unit="mH",
        default=default_mh,
        minimum=0.5,
        maximum=500.0,
    )


def link_voltage(default_v: float, minimum_v: float, maximum_v: float) -> Parameter:
    """A d.c. voltage that is held, whatever the fault."""
    return Parameter(
        name="link_voltage_v",
        label="Direct voltage",
        unit="V",
        default=default_v,
        minimum=minimum_v,
        maximum=maximum_v,
    )
