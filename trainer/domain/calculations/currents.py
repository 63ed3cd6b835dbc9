"""Design currents: what equipment draws, and what a circuit has to carry."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.domain.cables import Circuit
from trainer.domain.calculations.diversity import COOKING as COOKING_LOADS
from trainer.domain.calculations.diversity import after_diversity_a
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Term, Terms, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

COOKING = frozenset({EquipmentKind.HOB, EquipmentKind.OVEN})


def drawn_current_a(item: Equipment, nominal_voltage_to_earth_v: float) -> float:
    """The current that equipment draws in each of its lines, in A, without diversity.

    Rated current, or P / (U0 * phases). A charger counts all of its points at full current; a load
    limit counts only when it fails safe (722.311). *Raises* MissingFactError.
    """
    current = item.rated_current_a
    if current is None:
        if item.rated_power_w is None:
            raise MissingFactError(f"equipment.{item.id}.rated_current_a")
        current = item.rated_power_w / (nominal_voltage_to_earth_v * item.phases)
    charger = item.charger
    if charger is None:
        return current
    current *= charger.points
    if charger.load_limit_a is not None and charger.load_limit_fail_safe:
        return min(current, charger.load_limit_a)
    return current


def circuit_current_a(item: Equipment, nominal_voltage_to_earth_v: float) -> float:
    """The current that the circuit of equipment carries in each line, in A: drawn or delivered."""
    if item.source is None:
        return drawn_current_a(item, nominal_voltage_to_earth_v)
    delivered = item.source.rated_current_a
    if item.charger is not None:
        return max(delivered, drawn_current_a(item, nominal_voltage_to_earth_v))
    return max(delivered, item.source.charging_current_a or 0)


def loads_of(house: Installation, circuit: Circuit) -> list[Equipment]:
    """The equipment that loads a circuit by its own data: not what is plugged into its outlets."""
    return [
        item for item in house.equipment_on(circuit) if not item.plug_in and item.kind is not EquipmentKind.SOCKET_LOADS
    ]


def final_circuit_current_a(house: Installation, circuit: Circuit, limits: Limits) -> tuple[float, Terms]:
    """Ib of a final circuit in A, with its terms.

    Stated, or the sum of the equipment's currents; cooking appliances of a dwelling with their
    diversity. A circuit of socket-outlets may be loaded up to its overcurrent device.
    *Raises* MissingFactError. *Source*: BS 7671 433.1.1, 311.1; guidance for the diversity.
    """
    if circuit.design_current_a is not None:
        return circuit.design_current_a, ()
    items = loads_of(house, circuit)
    if not items:
        return _socket_circuit(house, circuit), ()
    voltage = house.supply.nominal_voltage_to_earth_v
    if all(item.kind in COOKING for item in items):
        return cooking_current_a(items, circuit.socket_outlets, voltage, limits), ()
    currents = [circuit_current_a(item, voltage) for item in items]
    return total(currents), lambda: _terms(items, currents)


def _terms(items: Sequence[Equipment], currents: Sequence[float]) -> tuple[Term, ...]:
    return tuple(Term(item.kind.value, current, "A") for item, current in zip(items, currents, strict=True))


def _socket_circuit(house: Installation, circuit: Circuit) -> float:
    device = house.overcurrent_device(circuit) if circuit.socket_outlets else None
    if device is None:
        raise MissingFactError(f"circuits.{circuit.id}.design_current_a")
    return device.rated_current_a


def cooking_current_a(
    items: Sequence[Equipment], socket_outlet: bool, nominal_voltage_to_earth_v: float, limits: Limits
) -> float:
    """The current of the cooking appliances of one household, in A, with diversity.

    10 A, plus 30 % of what exceeds it, plus 5 A for a socket-outlet at the control unit.
    """
    currents = [drawn_current_a(item, nominal_voltage_to_earth_v) for item in items]
    outlet = limits.network.diversity["cooking_socket_outlet_a"].value if socket_outlet else 0
    return total((after_diversity_a(COOKING_LOADS, currents, limits), outlet))
