"""Refuses what cannot be: every problem at once, each with the nearest possible value."""

from __future__ import annotations

import math
from collections.abc import Iterator

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.physics.front_ends.catalogue import FRONT_ENDS, FrontEndEntry
from trainer.domain.physics.front_ends.parameters import Circuit, FaultPoint, FrontEndParameters, Parameter
from trainer.domain.vocabulary import FrontEnd

SAMPLES_MINIMUM, SAMPLES_MAXIMUM = 36, 36000
MIDDLE_MINIMUM_OHM = 50.0
"""Least fault resistance at the middle of a capacitor link; the model of the halves settles from here on."""

_FLOATS = (
    "supply_voltage_v",
    "load_power_w",
    "fault_resistance_ohm",
    "firing_angle_deg",
    "output_frequency_hz",
    "carrier_frequency_hz",
    "link_capacitance_uf",
    "choke_inductance_mh",
    "link_voltage_v",
)
_COUNTS = ("burst_on_periods", "burst_off_periods")


class FrontEndError(TrainerError):
    """A front end, fault point or quantity that cannot be combined."""


def checked(front_end: FrontEnd, fault_point: FaultPoint, parameters: FrontEndParameters, samples: int) -> Circuit:
    """The circuit with every quantity filled in.

    *Raises* FrontEndError with every problem: a fault point or quantity that the front end
    lacks, too few supply phases, a value out of range or off its grid, a direct voltage below
    what the supply rectifies to, separation where none is possible.
    """
    entry = FRONT_ENDS[front_end]
    problems = [
        *_fault_point_problems(entry, fault_point),
        *_supply_problems(entry, parameters),
        *_value_problems(entry, parameters),
        *_sample_problems(samples),
    ]
    if not problems:
        problems.extend(_link_voltage_problems(entry, parameters))
        problems.extend(_middle_problems(entry, fault_point, parameters))
    if problems:
        raise FrontEndError(*problems)
    values = {name: _value(entry, parameters, name) for name in _FLOATS}
    return Circuit(
        fault_point=fault_point,
        samples=samples,
        galvanic_separation=bool(parameters.galvanic_separation),
        burst_on_periods=round(_value(entry, parameters, "burst_on_periods")),
        burst_off_periods=round(_value(entry, parameters, "burst_off_periods")),
        **values,
    )


def _value(entry: FrontEndEntry, parameters: FrontEndParameters, name: str) -> float:
    """The value given, else the default; 0 for a quantity that the front end lacks."""
    given = getattr(parameters, name)
    if given is not None:
        return float(given)
    parameter = entry.parameter(name)
    return parameter.default if parameter else 0.0


def _fault_point_problems(entry: FrontEndEntry, fault_point: FaultPoint) -> Iterator[Problem]:
    if fault_point not in entry.solvers:
        yield Problem(
            path="fault_point",
            value=fault_point.value,
            problem=f"{entry.label.lower()} has no such fault point",
            possible=tuple(point.value for point in entry.fault_points),
            nearest=_nearest_point(entry, fault_point).value,
        )


def _nearest_point(entry: FrontEndEntry, fault_point: FaultPoint) -> FaultPoint:
    """The point that carries the most of the same potential: a pole for a d.c. or output fault."""
    order = (FaultPoint.DC_POSITIVE, FaultPoint.DC_NEGATIVE, FaultPoint.CONTROLLED_LINE)
    if fault_point is FaultPoint.CONTROLLED_LINE:
        return FaultPoint.LINE
    return next((point for point in order if point in entry.solvers), FaultPoint.LINE)


def _supply_problems(entry: FrontEndEntry, parameters: FrontEndParameters) -> Iterator[Problem]:
    phases = parameters.supply_phases
    if phases is not None and (phases not in (1, 2, 3) or phases < entry.lines):
        yield Problem(
            path="supply_phases",
            value=phases,
            problem=f"{entry.label.lower()} needs {entry.lines} line(s) of the supply",
            possible=tuple(str(number) for number in range(entry.lines, 4)),
            nearest=str(max(entry.lines, min(3, phases))),
        )
    if parameters.galvanic_separation and not entry.may_be_separated:
        yield Problem(
            path="galvanic_separation",
            value="true",
            problem=f"{entry.label.lower()} is modelled without a transformer",
            possible=("false",),
            nearest="false",
        )


def _value_problems(entry: FrontEndEntry, parameters: FrontEndParameters) -> Iterator[Problem]:
    for name in (*_FLOATS, *_COUNTS):
        given = getattr(parameters, name)
        if given is None:
            continue
        parameter = entry.parameter(name)
        if parameter is None:
            yield Problem(
                path=name,
                value=given,
                problem=f"{entry.label.lower()} has no such quantity; leave it out",
                possible=tuple(known.name for known in entry.parameters),
            )
        else:
            yield from _range_problems(parameter, float(given))


def _range_problems(parameter: Parameter, value: float) -> Iterator[Problem]:
    nearest = _nearest(parameter, value)
    if math.isnan(value) or abs(value - nearest) > 1e-9 * max(1.0, abs(nearest)):
        grid = f" in steps of {parameter.step:g}" if parameter.step else ""
        span = f"{parameter.minimum:g} to {parameter.maximum:g} {parameter.unit}{grid}"
        yield Problem(
            path=parameter.name,
            value=value,
            problem=f"{parameter.label.lower()} must lie in {span}",
            possible=(span,),
            nearest=f"{nearest:g} {parameter.unit}",
        )


def _nearest(parameter: Parameter, value: float) -> float:
    if math.isnan(value):
        return parameter.default
    inside = min(max(value, parameter.minimum), parameter.maximum)
    return round(inside / parameter.step) * parameter.step if parameter.step else inside


def _sample_problems(samples: int) -> Iterator[Problem]:
    nearest = min(max(2 * round(samples / 2), SAMPLES_MINIMUM), SAMPLES_MAXIMUM)
    if nearest != samples:
        yield Problem(
            path="samples_per_period",
            value=samples,
            problem="a period takes an even number of samples, so that both half periods have the same",
            possible=(f"{SAMPLES_MINIMUM} to {SAMPLES_MAXIMUM}",),
            nearest=str(nearest),
        )


def _middle_problems(
    entry: FrontEndEntry, fault_point: FaultPoint, parameters: FrontEndParameters
) -> Iterator[Problem]:
    resistance_ohm = _value(entry, parameters, "fault_resistance_ohm")
    has_capacitors = entry.parameter("link_capacitance_uf") is not None
    if fault_point is FaultPoint.DC_MIDDLE and has_capacitors and resistance_ohm < MIDDLE_MINIMUM_OHM:
        span = f"{MIDDLE_MINIMUM_OHM:g} ohm or more"
        yield Problem(
            path="fault_resistance_ohm",
            value=resistance_ohm,
            problem="a fault this low at the middle of two capacitors would charge the link through itself",
            possible=(span,),
            nearest=f"{MIDDLE_MINIMUM_OHM:g} ohm",
        )


def _link_voltage_problems(entry: FrontEndEntry, parameters: FrontEndParameters) -> Iterator[Problem]:
    least = entry.link_peaks * math.sqrt(2.0) * _value(entry, parameters, "supply_voltage_v")
    given = _value(entry, parameters, "link_voltage_v")
    if given < least:
        yield Problem(
            path="link_voltage_v",
            value=given,
            problem="the direct voltage must exceed what the diodes rectify from the supply",
            possible=(f"at least {math.ceil(least)} V",),
            nearest=f"{math.ceil(least)} V",
        )
