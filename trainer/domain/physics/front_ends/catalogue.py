"""Every front end: its name, its fault points, what can be set in it, and how it is solved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from trainer.domain.physics.front_ends import capacitor_link, choke_link, direct, frequency_converter, inverters
from trainer.domain.physics.front_ends.parameters import (
    BURST_OFF,
    BURST_ON,
    CARRIER_FREQUENCY,
    FAULT_RESISTANCE,
    FIRING_ANGLE,
    OUTPUT_FREQUENCY,
    VOLTAGE,
    Circuit,
    FaultPoint,
    Parameter,
    choke_inductance,
    link_capacitance,
    link_voltage,
    load_power,
)
from trainer.domain.physics.front_ends.power_factor_stage import power_factor_stage_v
from trainer.domain.physics.waveform import Samples
from trainer.domain.vocabulary import FrontEnd

Solver = Callable[[Circuit], Samples]

LINE = FaultPoint.LINE
POSITIVE = FaultPoint.DC_POSITIVE
NEGATIVE = FaultPoint.DC_NEGATIVE
MIDDLE = FaultPoint.DC_MIDDLE
OUTPUT = FaultPoint.INVERTER_OUTPUT
CONTROLLED = FaultPoint.CONTROLLED_LINE


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEndEntry:
    """One front end as data: what it is called, where it can fail, what can be set.

    ``lines`` is the number of live lines it needs; ``may_be_separated`` tells whether a
    transformer can stand between its d.c. side and the supply; ``link_peaks`` is the least
    direct voltage in peaks of the supply voltage, 0 where none is held.
    """

    front_end: FrontEnd
    label: str
    lines: int
    solvers: Mapping[FaultPoint, Solver]
    parameters: tuple[Parameter, ...]
    may_be_separated: bool = False
    link_peaks: float = 0.0

    @property
    def fault_points(self) -> tuple[FaultPoint, ...]:
        """Places where its insulation can fail, in the order of the current."""
        return tuple(self.solvers)

    def parameter(self, name: str) -> Parameter | None:
        """The parameter of that name, or None where this front end has none."""
        return next((parameter for parameter in self.parameters if parameter.name == name), None)


def _entry(
    front_end: FrontEnd,
    label: str,
    lines: int,
    solvers: Mapping[FaultPoint, Solver],
    *parameters: Parameter,
    may_be_separated: bool = False,
    link_peaks: float = 0.0,
) -> FrontEndEntry:
    return FrontEndEntry(
        front_end=front_end,
        label=label,
        lines=lines,
        solvers=MappingProxyType({LINE: direct.faulted_line_v, **solvers}),
        parameters=(VOLTAGE, FAULT_RESISTANCE, *parameters),
        may_be_separated=may_be_separated,
        link_peaks=link_peaks,
    )


def _everywhere(solver: Solver, *points: FaultPoint) -> dict[FaultPoint, Solver]:
    return dict.fromkeys(points, solver)


_SMALL = load_power(2000.0, 7400.0)
_LARGE = load_power(7500.0, 45000.0, minimum_w=200.0)
_NO_DELAY = Parameter(
    name=FIRING_ANGLE.name, label=FIRING_ANGLE.label, unit="deg", default=0.0, minimum=0.0, maximum=170.0
)
_CONVERTER = (OUTPUT_FREQUENCY, CARRIER_FREQUENCY)

_ENTRIES = (
    _entry(FrontEnd.RESISTIVE, "Resistive load", 1, {}),
    _entry(FrontEnd.PHASE_ANGLE, "Phase-angle control", 1, {CONTROLLED: direct.phase_angle_v}, FIRING_ANGLE),
    _entry(FrontEnd.BURST, "Burst control of whole periods", 1, {CONTROLLED: direct.burst_v}, BURST_ON, BURST_OFF),
    _entry(FrontEnd.HALF_WAVE, "Half-wave rectifier", 1, {POSITIVE: direct.half_wave_v}, _NO_DELAY),
    _entry(
        FrontEnd.HALF_WAVE_CAPACITOR,
        "Half-wave rectifier with capacitor",
        1,
        {POSITIVE: direct.half_wave_capacitor_v},
        load_power(500.0, 3700.0),
        link_capacitance(470.0),
    ),
    _entry(
        FrontEnd.BRIDGE_RESISTIVE,
        "Single-phase bridge with resistive load",
        1,
        _everywhere(direct.bridge_resistive_v, POSITIVE, NEGATIVE),
    ),
    _entry(
        FrontEnd.BRIDGE_CAPACITOR,
        "Single-phase bridge with link capacitor",
        1,
        _everywhere(capacitor_link.single_phase_v, POSITIVE, NEGATIVE, MIDDLE),
        _SMALL,
        link_capacitance(1000.0),
    ),
    _entry(
        FrontEnd.BRIDGE_CHOKE,
        "Single-phase bridge with choke and link capacitor",
        1,
        _everywhere(choke_link.single_phase_v, POSITIVE, NEGATIVE, MIDDLE),
        _SMALL,
        link_capacitance(1000.0),
        choke_inductance(20.0),
    ),
    _entry(
        FrontEnd.BRIDGE_HALF_CONTROLLED,
        "Half-controlled single-phase bridge",
        1,
        _everywhere(direct.bridge_half_controlled_v, POSITIVE, NEGATIVE),
        _SMALL,
        FIRING_ANGLE,
    ),
    _entry(
        FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
        "Single-phase bridge with boost power-factor stage",
        1,
        _everywhere(power_factor_stage_v, POSITIVE, NEGATIVE),
        _SMALL,
        link_voltage(400.0, 300.0, 450.0),
        link_peaks=1.0,
    ),
    _entry(
        FrontEnd.BRIDGE_BETWEEN_LINES,
        "Bridge between two lines with link capacitor",
        2,
        _everywhere(capacitor_link.between_lines_v, POSITIVE, NEGATIVE, MIDDLE),
        _SMALL,
        link_capacitance(680.0),
    ),
    _entry(FrontEnd.THREE_PULSE, "Three-pulse rectifier", 3, {POSITIVE: direct.three_pulse_v}),
    _entry(
        FrontEnd.SIX_PULSE_CAPACITOR,
        "Six-pulse bridge with link capacitor",
        3,
        _everywhere(capacitor_link.six_pulse_v, POSITIVE, NEGATIVE, MIDDLE),
        _LARGE,
        link_capacitance(1000.0),
    ),
    _entry(
        FrontEnd.SIX_PULSE_CHOKE,
        "Six-pulse bridge with choke and link capacitor",
        3,
        _everywhere(choke_link.six_pulse_v, POSITIVE, NEGATIVE, MIDDLE),
        _LARGE,
        link_capacitance(1000.0),
        choke_inductance(4.0),
    ),
    _entry(
        FrontEnd.CONVERTER_SINGLE_PHASE,
        "Single-phase frequency converter",
        1,
        {
            **_everywhere(capacitor_link.single_phase_v, POSITIVE, NEGATIVE, MIDDLE),
            OUTPUT: frequency_converter.single_phase_output_v,
        },
        _SMALL,
        link_capacitance(1000.0),
        *_CONVERTER,
    ),
    _entry(
        FrontEnd.CONVERTER_THREE_PHASE,
        "Three-phase frequency converter",
        3,
        {
            **_everywhere(capacitor_link.six_pulse_v, POSITIVE, NEGATIVE, MIDDLE),
            OUTPUT: frequency_converter.three_phase_output_v,
        },
        _LARGE,
        link_capacitance(1000.0),
        *_CONVERTER,
    ),
    _entry(
        FrontEnd.INVERTER_FULL_BRIDGE,
        "Inverter, symmetric full bridge",
        1,
        _everywhere(inverters.full_bridge_v, POSITIVE, NEGATIVE, MIDDLE),
        link_voltage(400.0, 300.0, 1000.0),
        may_be_separated=True,
        link_peaks=1.0,
    ),
    _entry(
        FrontEnd.INVERTER_LINE_FREQUENCY_LEG,
        "Inverter, neutral leg at line frequency",
        1,
        _everywhere(inverters.line_frequency_leg_v, POSITIVE, NEGATIVE, MIDDLE),
        link_voltage(400.0, 300.0, 1000.0),
        may_be_separated=True,
        link_peaks=1.0,
    ),
    _entry(
        FrontEnd.INVERTER_HALF_BRIDGE,
        "Inverter, half-bridge or neutral-point clamped",
        1,
        _everywhere(inverters.middle_at_neutral_v, POSITIVE, NEGATIVE),
        link_voltage(800.0, 550.0, 1500.0),
        may_be_separated=True,
        link_peaks=2.0,
    ),
    _entry(
        FrontEnd.INVERTER_THREE_PHASE,
        "Inverter, three-phase active front end",
        3,
        _everywhere(inverters.middle_at_neutral_v, POSITIVE, NEGATIVE),
        link_voltage(750.0, 550.0, 1500.0),
        may_be_separated=True,
        link_peaks=2.0,
    ),
)

FRONT_ENDS: Mapping[FrontEnd, FrontEndEntry] = MappingProxyType({entry.front_end: entry for entry in _ENTRIES})
"""Every front end of the vocabulary."""
