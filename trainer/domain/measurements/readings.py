"""Readings: drawn so that they keep their limit, come close to it, or miss it; never on the edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

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
from trainer.domain.vocabulary import EarthingSystem, ResidualDelay

_INSTRUMENT_SHARE = 0.02
"""How far a loop reading may lie from Ze + R1 + R2: tolerance of instrument and contacts, common practice."""
_CLEAR_LOW, _CLEAR_HIGH = 0.84, 0.96
"""Where, as a share of the tabulated Zs, a reading lies that asks for a further look: off both edges."""
_SHARE_BAD = 0.3
_SHARE_LOOK = 0.25


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
    """Zs at the far end of a circuit in TN, now and then above 0.8 of the table; None where it cannot be judged."""
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
    if draws.chance(_SHARE_LOOK):
        value = table * (_CLEAR_LOW + (_CLEAR_HIGH - _CLEAR_LOW) * draws.fraction())
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
    else:
        room = longest - least
        value = least + room * (0.08 + 0.5 * draws.fraction())
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
    place = draws.fraction()
    if place < _SHARE_BAD:
        value = most * (1.1 + draws.fraction())
    elif place < _SHARE_BAD + _SHARE_LOOK and advised * 1.5 < most:
        value = advised * (1.1 + 0.3 * draws.fraction())
    else:
        value = min(advised, most) * (0.2 + 0.6 * draws.fraction())
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
