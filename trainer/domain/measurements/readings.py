"""Readings: drawn so that they keep their limit, come close to it, or miss it; never on the edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from trainer.domain.answers.decisions import Edit
from trainer.domain.cables import Circuit
from trainer.domain.calculations.disconnection import TN, maximum_disconnection_time_s, maximum_impedance_ohm
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.paths import charger_with_own_earth
from trainer.domain.devices import Device
from trainer.domain.generator.randomness import Draws
from trainer.domain.inspections.places import device_name
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.measurements.cold import cold_circuit_ohm, cold_path_ohm
from trainer.domain.vocabulary import Curve, EarthingSystem, ResidualDelay

_INSTRUMENT_SHARE = 0.02
"""How far a loop reading may lie from Ze + R1 + R2: tolerance of instrument and contacts, common practice."""
_CLEAR_LOW, _CLEAR_HIGH = 0.84, 0.96
"""Where, as a share of the tabulated Zs, a reading lies that asks for a further look: off both edges."""
_HIGH_LOW, _HIGH_HIGH = 1.08, 1.3
"""Where, as a share of the tabulated Zs, a reading lies that is above the table."""
_JOINT_OHM = 1.2
"""What a poor joint adds at most to a loop that still works: beyond it the circuit would be open, or on fire."""
_SHARE_BAD = 0.3
_SHARE_LOOK = 0.25
_SHARE_HIGH = 0.12
_SHARE_BRISK = 0.75
_BRISK_MS = (14.0, 48.0)
"""How quickly most sound devices without delay act at their rating: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading to judge: its place, quantity and value, what it sets in the house, the rules that judge it.

    ``told`` are values that go with it, by quantity: R1 + R2 of the same circuit, and the path from the origin.
    """

    id: str
    subject: str
    place: str
    quantity: str
    value: float
    unit: str
    edit: Edit
    rules: tuple[str, ...]
    objectives: tuple[str, ...]
    told: tuple[tuple[str, float], ...] = ()


def loop_reading(house: Installation, circuit: Circuit, limits: Limits, draws: Draws) -> Reading | None:
    """Zs at the far end of a circuit in TN, now and then above 0.8 of the table or all of it; None where not judged."""
    external = house.supply.external_earth_fault_loop_impedance_ohm
    table = table_ohm(house, circuit, limits)
    if external is None or table is None:
        return None
    try:
        cold = cold_path_ohm(house, circuit, limits)
        own = cold_circuit_ohm(circuit, limits)
    except MissingFactError:
        return None
    expected = external + cold
    value = expected * (1 + _INSTRUMENT_SHARE * (2 * draws.fraction() - 1))
    accepted = table * limits.verification.measured_impedance_share.value
    poor = _poor_joint_ohm(table, draws)
    if poor is not None and 0 < poor - expected <= _JOINT_OHM:
        value = poor
    elif value > accepted * (1 - 2 * _INSTRUMENT_SHARE):
        return None
    return Reading(
        id=f"loop.{circuit.id}",
        subject=f"circuits.{circuit.id}",
        place=_place(house, circuit),
        quantity="loop",
        value=round(value, 2),
        unit="ohm",
        edit=Edit(path=f"circuits.{circuit.id}.measured_earth_fault_loop_impedance_ohm", value=round(value, 2)),
        rules=("OC-03",),
        objectives=("LO28", "LO41"),
        told=(("continuity", round(own, 2)), ("path", round(cold, 2))),
    )


def _poor_joint_ohm(table: float, draws: Draws) -> float | None:
    """A reading above 0.8 of the table, seldom above the table; None for a sound loop."""
    share, place = draws.fraction(), draws.fraction()
    if share < _SHARE_HIGH:
        return table * (_HIGH_LOW + (_HIGH_HIGH - _HIGH_LOW) * place)
    return table * (_CLEAR_LOW + (_CLEAR_HIGH - _CLEAR_LOW) * place) if share < _SHARE_HIGH + _SHARE_LOOK else None


def table_ohm(house: Installation, circuit: Circuit, limits: Limits) -> float | None:
    """The tabulated Zs of the overcurrent device of a circuit in TN, in ohm; None in TT or without one."""
    device = house.overcurrent_device(circuit)
    apart = charger_with_own_earth(house, circuit) is not None
    if device is None or apart or house.supply.earthing_system in (None, EarthingSystem.TT):
        return None
    time_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    try:
        return maximum_impedance_ohm(device, time_s, house.supply.nominal_voltage_to_earth_v, limits)
    except MissingFactError:
        return None


def other_curve_ohm(house: Installation, circuit: Circuit, limits: Limits) -> float | None:
    """The tabulated Zs of the curve that is most often taken for that of a circuit's device; None for a fuse."""
    device = house.overcurrent_device(circuit)
    if device is None or device.curve not in _MISTAKEN:
        return None
    other = replace(device, curve=_MISTAKEN[device.curve])
    return table_ohm(replace(house, devices={**house.devices, device.id: other}), circuit, limits)


_MISTAKEN = {Curve.B: Curve.C, Curve.C: Curve.B, Curve.D: Curve.C}


def break_time_reading(device: Device, limits: Limits, draws: Draws) -> Reading | None:
    """The break time of a residual current device at its rating, in ms."""
    if not device.detects_residual_current or device.residual_delay is None:
        return None
    times = limits.verification.break_time_ms
    longest = times[device.residual_delay].value
    least = times["S_minimum"].value if device.residual_delay is ResidualDelay.S else 0.0
    if draws.chance(_SHARE_BAD):
        quick = least and draws.chance(0.5)
        value = least * (0.4 + 0.5 * draws.fraction()) if quick else longest * (1.05 + 0.4 * draws.fraction())
    elif not least and draws.chance(_SHARE_BRISK):
        value = _BRISK_MS[0] + (_BRISK_MS[1] - _BRISK_MS[0]) * draws.fraction()
    else:
        value = least + (longest - least) * (0.2 + 0.6 * draws.fraction())
    return Reading(
        id=f"break_time.{device.id}",
        subject=f"devices.{device.id}",
        place=device_name(device),
        quantity="break_time",
        value=round(value, 1),
        unit="ms",
        edit=Edit(path=f"devices.{device.id}.measured_break_time_ms", value=round(value, 1)),
        rules=("VER-01",),
        objectives=("LO47", "LO41"),
    )


def insulation_reading(house: Installation, circuit: Circuit, limits: Limits, draws: Draws) -> Reading:
    """The insulation resistance of a circuit to earth, in megohm."""
    least = limits.verification.insulation_mohm.value
    bad = draws.chance(_SHARE_BAD)
    value = least * (0.1 + 0.8 * draws.fraction()) if bad else least * (2 + 300 * draws.fraction() ** 2)
    value = round(value, 2 if value < least * 10 else 0)
    return Reading(
        id=f"insulation.{circuit.id}",
        subject=f"circuits.{circuit.id}",
        place=_place(house, circuit),
        quantity="insulation",
        value=value,
        unit="Mohm",
        edit=Edit(path=f"circuits.{circuit.id}.measured_insulation_mohm", value=value),
        rules=("VER-02",),
        objectives=("LO41",),
    )


def electrode_reading(house: Installation, limits: Limits, draws: Draws) -> Reading | None:
    """The resistance of the electrode of a TT installation, in ohm."""
    if house.supply.earthing_system is not EarthingSystem.TT or house.earthing.electrode_resistance_ohm is None:
        return None
    ratings = [each.rated_residual_operating_current_ma for each in house.devices.values()]
    largest_ma = max((each for each in ratings if each is not None), default=None)
    if largest_ma is None:
        return None
    most = limits.earthing.touch_voltage_v.value / (largest_ma / 1000)
    advised = limits.residual.stable_electrode_ohm.value
    surveyed = house.earthing.electrode_resistance_ohm
    place = draws.fraction()
    if place < _SHARE_BAD:
        value = most * (1.1 + draws.fraction())
    elif place < _SHARE_BAD + _SHARE_LOOK and advised * 1.5 < most:
        value = advised * (1.1 + 0.3 * draws.fraction())
    else:
        # The ground is a little wetter or drier than at the survey.
        value = min(surveyed * (0.9 + 0.2 * draws.fraction()), 0.9 * min(advised, most))
    return Reading(
        id="electrode.origin",
        subject="earthing",
        place="Earthing",
        quantity="electrode",
        value=float(round(value)),
        unit="ohm",
        edit=Edit(path="earthing.electrode_resistance_ohm", value=float(round(value))),
        rules=("RCD-09", "RCD-10"),
        objectives=("LO05", "LO41"),
    )


def candidates(house: Installation, limits: Limits, draws: Draws) -> Iterator[Reading]:
    """Everything that could be read in a house, in the order in which it was drawn."""
    circuits = [each for each in house.circuits.values() if house.is_final(each)]
    for circuit in circuits:
        loop = loop_reading(house, circuit, limits, draws)
        if loop is not None:
            yield loop
        yield insulation_reading(house, circuit, limits, draws)
    for device in house.devices.values():
        time = break_time_reading(device, limits, draws)
        if time is not None:
            yield time
    electrode = electrode_reading(house, limits, draws)
    if electrode is not None:
        yield electrode


def _place(house: Installation, circuit: Circuit) -> str:
    above = house.device_above(circuit)
    return circuit.label or circuit.id if above is None else device_name(above)
