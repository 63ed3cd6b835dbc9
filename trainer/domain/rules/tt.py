"""Installations earthed by an electrode: fault protection, poles, metal boards, surge protection."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.calculations.disconnection import TN, maximum_disconnection_time_s, maximum_impedance_ohm
from trainer.domain.calculations.electrode import touch_voltage_v
from trainer.domain.calculations.facts import MissingFactError, unless_open
from trainer.domain.calculations.loops import earth_fault_loop_impedance
from trainer.domain.calculations.paths import charger_with_own_earth
from trainer.domain.calculations.residual import fastest_residual_device
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Charger, ChargerEarthing, Equipment
from trainer.domain.findings import Term, Verdict, at_least, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import (
    circuit_of,
    device_path,
    equipment_path,
    nearest_residual_device,
    system_of,
)
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import Consequence, EarthingSystem, Location, Outcome


def _own_electrode(house: Installation, circuit: Circuit) -> Equipment | None:
    """The charger on a circuit that is earthed by its own electrode."""
    item = charger_with_own_earth(house, circuit)
    if item is None or item.charger is None or item.charger.earthing is not ChargerEarthing.OWN_TT_ELECTRODE:
        return None
    return item


def _electrode_ohm(house: Installation, circuit: Circuit) -> float | None:
    """RA of the electrode that earths a circuit's exposed parts; None where the network earths them.

    *Raises* MissingFactError.
    """
    item = _own_electrode(house, circuit)
    if item is not None and item.charger is not None:
        resistance, path = item.charger.electrode_resistance_ohm, f"{equipment_path(item)}.charger"
    elif system_of(house) is EarthingSystem.TT or _is_pitch_on_electrode(house, circuit):
        resistance, path = house.earthing.electrode_resistance_ohm, "earthing"
    else:
        return None
    if resistance is None:
        raise MissingFactError(f"{path}.electrode_resistance_ohm")
    return resistance


def _is_pitch_on_electrode(house: Installation, circuit: Circuit) -> bool:
    """True for a caravan pitch that the installation's electrode earths, since PME must not."""
    if house.supply.earthing_system is not EarthingSystem.TN_C_S or house.earthing.electrode_resistance_ohm is None:
        return False
    return circuit.location is Location.CARAVAN_PITCH and circuit.socket_outlets


@rule("RCD-09", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO05",))
def fault_protection_by_electrode_and_device(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """In TT a residual current device keeps the electrode's resistance times its rating within 50 V.

    Why: soil limits the fault current to a few amps; no overcurrent device sees them, and exposed
    parts stay at mains voltage.
    Remedy: a device of lower rating, or a better electrode.
    Assumes: any device before the circuit counts, also a time-delayed one; the time allowed belongs to
    the current that flows, not to the test at its rating. Under PME the pitches of a caravan site hang
    on the electrode that is stated.
    Formula: RA * I-delta-n <= 50 V
    """
    try:
        resistance = _electrode_ohm(house, circuit)
        return None if resistance is None else _by_device(circuit, house, limits, resistance)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _by_device(circuit: Circuit, house: Installation, limits: Limits, resistance: float) -> Verdict:
    best: Device | None = None
    unread: Device | None = None
    rating = 0.0
    for device in house.devices_above(circuit):
        if device.detects_residual_current:
            own = device.rated_residual_operating_current_ma
            if own is None:
                unread = device
            elif best is None or own < rating:
                best, rating = device, own
    limit = limits.earthing.touch_voltage_v
    if unread is not None and (best is None or not within(touch_voltage_v(resistance, rating), limit.value)):
        return undetermined(f"{device_path(unread)}.rated_residual_operating_current_ma")
    if best is None:
        return holds(False, limit=limit.value, unit=limit.unit, case="no_residual_current_device")
    return at_most(
        touch_voltage_v(resistance, rating),
        limit,
        terms=lambda: (
            Term("electrode_resistance", resistance, "ohm"),
            Term("rated_residual_operating_current", rating, "mA"),
        ),
        case="electrode_and_device",
        related=(device_path(best),),
    )


@rule("RCD-10", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO05",))
def electrode_resistance_stays_stable(house: Installation, _same: Installation, limits: Limits) -> Verdict | None:
    """The resistance of an earth electrode that fault protection rests on does not exceed 200 ohm.

    Why: a rod in soil that dries or freezes changes its resistance; a high value seldom stays what
    it was on the day of the test.
    Remedy: a longer rod, more of them, or a better place. Advice, not a limit.
    """
    highest: tuple[float, str] | None = None
    for resistance, path in _electrodes(house):
        if resistance is not None and (highest is None or resistance > highest[0]):
            highest = (resistance, path)
    if highest is None:
        return None
    return at_most(
        highest[0],
        limits.residual.stable_electrode_ohm,
        case="electrode",
        related=(highest[1],),
        otherwise=Outcome.ADVICE,
    )


def _electrodes(house: Installation) -> list[tuple[float | None, str]]:
    """All electrodes that earth something: of the installation, of the island, of chargers."""
    found = [(house.earthing.island_electrode_resistance_ohm, "earthing.island_electrode_resistance_ohm")]
    pitches = any(_is_pitch_on_electrode(house, circuit) for circuit in house.circuits.values())
    if pitches or house.supply.earthing_system is EarthingSystem.TT:
        found.append((house.earthing.electrode_resistance_ohm, "earthing.electrode_resistance_ohm"))
    for item in house.equipment.values():
        if item.charger is not None and item.charger.earthing is ChargerEarthing.OWN_TT_ELECTRODE:
            path = f"{equipment_path(item)}.charger.electrode_resistance_ohm"
            found.append((item.charger.electrode_resistance_ohm, path))
    return found


@rule("RCD-12", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO05", "LO22"))
def device_opens_all_live_conductors(device: Device, house: Installation, _limits: Limits) -> Verdict | None:
    """Where the neutral cannot be taken as earthed, a residual current device opens it as well.

    Why: in TT, beside a source or in an island the neutral may carry a dangerous voltage, and a
    fault fed through it goes on after the line has been opened.
    Remedy: a device that opens all live conductors.
    Assumes: the device that feeds a circuit and isolates is that circuit's means of isolation. A
    charging point's own device is judged by the rules on charging points.
    """
    if not device.detects_residual_current:
        return None
    reason, outcome = _reason_to_open_the_neutral(device, house)
    unknown = house.supply.earthing_system is None and outcome is not Outcome.DOES_NOT_COMPLY
    if reason == "" and not unknown:
        return None
    needed = max((circuit.live_conductors for circuit in house.circuits_below(device)), default=0)
    if device.poles >= needed:
        return at_least(device.poles, needed, unit="poles", case="all_live_conductors") if reason else None
    if unknown:
        return undetermined("supply.earthing_system")
    if outcome is Outcome.ADVICE and reason == "tt" and _isolates_a_circuit(device, house):
        reason, outcome = "isolates_in_tt", Outcome.DOES_NOT_COMPLY
    return at_least(device.poles, needed, unit="poles", case=reason, otherwise=outcome)


def _reason_to_open_the_neutral(device: Device, house: Installation) -> tuple[str, Outcome]:
    """Why the neutral of this device matters, and what a closed neutral means; no reason is empty."""
    for circuit in house.circuits_below(device):
        for item in house.equipment_on(circuit):
            if item.source is not None:
                return "source_on_the_circuit", Outcome.DOES_NOT_COMPLY
            if item.charger is not None and nearest_residual_device(house, circuit) is not device:
                return "charging_point", Outcome.DOES_NOT_COMPLY
    if house.has_island:
        return "island_mode", Outcome.DOES_NOT_COMPLY
    if house.supply.earthing_system is EarthingSystem.TT:
        return "tt", Outcome.ADVICE
    if house.sources():
        return "parallel_generation", Outcome.ADVICE
    return "", Outcome.COMPLIES


def _isolates_a_circuit(device: Device, house: Installation) -> bool:
    return device.isolates and any(circuit.fed_by == device.id for circuit in house.circuits_below(device))


@rule("RCD-13", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO27", "LO05"))
def fault_protection_by_residual_device_in_tn(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """In TN a residual current device may give fault protection where the overcurrent device cannot.

    Why: a long cable may let too little current flow for the overcurrent device; a residual current
    device needs a thousandth of it. It then stands alone between a fault and a person.
    Remedy: better a larger cable or a lower curve, so that two devices can act.
    Assumes: the overcurrent device still clears a short circuit between line and neutral.
    Formula: Zs <= 50 V / I-delta-n
    """
    if charger_with_own_earth(house, circuit) is not None:
        return None
    device = house.overcurrent_device(circuit)
    if device is None or house.supply.earthing_system in (None, EarthingSystem.TT):
        return None
    try:
        return _where_the_overcurrent_device_cannot(circuit, house, limits, device)
    except MissingFactError:
        # The rule on the overcurrent device names what is missing.
        return None


def _where_the_overcurrent_device_cannot(
    circuit: Circuit, house: Installation, limits: Limits, device: Device
) -> Verdict | None:
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    impedance, terms = earth_fault_loop_impedance(house, circuit, limits)
    if within(impedance, maximum_impedance_ohm(device, allowed_s, voltage, limits)):
        return None
    fastest = fastest_residual_device(house, circuit, voltage / impedance, limits)
    if fastest is None:
        return None
    largest = limits.earthing.touch_voltage_v.value / fastest.rating_a
    if not within(impedance, largest):
        unless_open(fastest.open_fact)
    return at_most(
        impedance,
        largest,
        unit="ohm",
        terms=terms,
        case="by_residual_current_device",
        related=(device_path(fastest.device),),
    )


@rule("TT-01", over=Over.BOARDS, consequence=Consequence.SHOCK, objectives=("LO05",))
def metal_board_in_tt(board: Board, house: Installation, _limits: Limits) -> Verdict | None:
    """In TT a metal board has double insulation up to its first residual current device, or such a device before it.

    Why: a tail that chafes on the metal case makes the case live, and in TT no fuse will notice.
    Remedy: double or reinforced insulation of everything before the first residual current device in
    the board, or a time-delayed device upstream in an enclosure of its own.
    """
    system = house.supply.earthing_system
    if system not in (None, EarthingSystem.TT):
        return None
    verdict = _metal_board(board, house)
    if system is not None:
        return verdict
    return None if verdict.outcome is Outcome.COMPLIES else undetermined("supply.earthing_system")


def _metal_board(board: Board, house: Installation) -> Verdict:
    """The verdict on a board of a TT installation."""
    if board.metal_enclosure is None:
        return undetermined(f"boards.{board.id}.metal_enclosure")
    if not board.metal_enclosure:
        return holds(True, case="insulating_enclosure")
    feeder = house.circuits.get(board.fed_by)
    if feeder is not None and nearest_residual_device(house, feeder) is not None:
        return holds(True, case="device_upstream")
    if board.class_ii_supply_side is None:
        return undetermined(f"boards.{board.id}.class_ii_supply_side")
    return holds(board.class_ii_supply_side, case="insulation_of_the_supply_side")


@rule("TT-02", over=Over.INSTALLATION, consequence=Consequence.EQUIPMENT, objectives=("LO37",))
def surge_protection_in_tt(house: Installation, _same: Installation, _limits: Limits) -> Verdict | None:
    """In TT surge protective devices stand between line and neutral, with a spark gap from neutral to earth.

    Why: connected from line to earth, a device at the end of its life passes a current that the
    electrode cannot turn into a tripped fuse.
    Remedy: connection type 2: one plus one in a single-phase, three plus one in a three-phase installation.
    """
    system = house.supply.earthing_system
    if system not in (None, EarthingSystem.TT) or house.surge.device in (None, SurgeDeviceType.NONE):
        return None
    if system is None:
        return None if house.surge.one_plus_one_connection else undetermined("supply.earthing_system")
    if house.surge.one_plus_one_connection is None:
        return undetermined("surge.one_plus_one_connection")
    return holds(house.surge.one_plus_one_connection, case="connection_type")


@rule("TT-03", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO09",))
def tt_island_beside_pme(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A charger earthed by its own electrode beside PME is kept apart from everything that the PME earths.

    Why: the point of the electrode is lost where a buried pipe, the armour of the cable or an outside
    tap carries the voltage of an open PEN into reach.
    Remedy: an electrode clear of bonded metal, earths out of reach of each other, armour isolated at
    one end, a residual current device before the part with the electrode. Good practice, no clause.
    """
    charger = item.charger
    if charger is None or charger.earthing is not ChargerEarthing.OWN_TT_ELECTRODE:
        return None
    if house.supply.earthing_system is EarthingSystem.TT:
        return None
    device = nearest_residual_device(house, circuit_of(house, item))
    if device is None:
        return holds(False, case="no_residual_current_device", otherwise=Outcome.ADVICE)
    return _kept_apart(charger, equipment_path(item))


def _kept_apart(charger: Charger, path: str) -> Verdict:
    missing: list[str] = []
    for name, value, good in (
        ("electrode_clear_of_bonded_metal", charger.electrode_clear_of_bonded_metal, True),
        ("simultaneous_reach_of_earths", charger.simultaneous_reach_of_earths, False),
        ("armour_isolated_at_one_end", charger.armour_isolated_at_one_end, True),
    ):
        if value is None:
            missing.append(f"{path}.charger.{name}")
        elif value is not good:
            return holds(False, case=name, otherwise=Outcome.ADVICE)
    return undetermined(*missing) if missing else holds(True, case="kept_apart")


RULES: tuple[Rule, ...] = (
    fault_protection_by_electrode_and_device,
    electrode_resistance_stays_stable,
    device_opens_all_live_conductors,
    fault_protection_by_residual_device_in_tn,
    metal_board_in_tt,
    surge_protection_in_tt,
    tt_island_beside_pme,
)
