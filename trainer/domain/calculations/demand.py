"""Maximum demand with diversity, by line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.domain.cables import Circuit
from trainer.domain.calculations.currents import (
    COOKING,
    cooking_current_a,
    drawn_current_a,
    final_circuit_current_a,
    loads_of,
)
from trainer.domain.calculations.diversity import COOKING as COOKING_LOADS
from trainer.domain.calculations.diversity import HEATING_AND_POWER, SOCKET_OUTLETS, after_diversity_a
from trainer.domain.calculations.once import once
from trainer.domain.calculations.paths import board_of, distribution_circuits_above
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Term, Terms, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import Premises

LINES = ("L1", "L2", "L3")

_HEATING_AND_POWER = frozenset(
    {EquipmentKind.WASHING_MACHINE, EquipmentKind.IT, EquipmentKind.MOTOR, EquipmentKind.OTHER}
)


def maximum_demand_a(house: Installation, circuits: Iterable[Circuit], limits: Limits) -> tuple[float, Terms]:
    """The largest demand on one line of the given final circuits in A, with its terms.

    A dwelling with the diversity of guidance, other premises without. Chargers at full current or
    at a load limit that fails safe; heat pumps and water heaters in full; sources only with the
    current that storage is stated to draw from the network.
    *Raises* MissingFactError. *Source*: BS 7671 311.1, 722.311; guidance for the diversity.
    """
    finals = [circuit for circuit in circuits if house.is_final(circuit)]
    single = house.supply.phases == 1
    best: tuple[float, Sequence[Term]] = (0.0, ())
    for line in LINES[:1] if single else LINES:
        on_line = [c for c in finals if single or c.phases > 1 or c.line == line]
        terms = _line_terms(house, on_line, limits)
        demand = total(term.value for term in terms)
        if demand > best[0]:
            best = (demand, terms)
    return best


@once
def design_current_a(house: Installation, circuit: Circuit, limits: Limits) -> tuple[float, Terms]:
    """Ib of a circuit in A, with its terms.

    Stated; or of a final circuit what its equipment carries, of a distribution circuit the demand
    of all final circuits beyond it. *Raises* MissingFactError. *Source*: BS 7671 433.1.1, 311.1.
    """
    if circuit.design_current_a is not None:
        return circuit.design_current_a, ()
    if house.is_final(circuit):
        return final_circuit_current_a(house, circuit, limits)
    beyond = [each for each in house.circuits.values() if _is_beyond(house, each, circuit)]
    return maximum_demand_a(house, beyond, limits)


def _is_beyond(house: Installation, circuit: Circuit, feeder: Circuit) -> bool:
    above = distribution_circuits_above(house, board_of(house, circuit))
    return any(each.id == feeder.id for each in above)


def has_diversity(house: Installation) -> bool:
    """True for premises to which the guidance on diversity of a household applies."""
    return house.premises is Premises.DWELLING


def _line_terms(house: Installation, circuits: Sequence[Circuit], limits: Limits) -> list[Term]:
    """The demand of circuits on one line, by kind of load."""
    demand = _Demand(house, limits)
    for circuit in circuits:
        demand.add(circuit)
    return demand.terms()


class _Demand:
    """Gathers the currents of one line by kind, then applies the allowance of each kind."""

    def __init__(self, house: Installation, limits: Limits) -> None:
        self._house = house
        self._limits = limits
        self._voltage = house.supply.nominal_voltage_to_earth_v
        self._cooking: list[Equipment] = []
        self._cooking_outlet = False
        self._currents: dict[str, list[float]] = {}

    def add(self, circuit: Circuit) -> None:
        items = loads_of(self._house, circuit)
        if circuit.design_current_a is not None or not items:
            name = SOCKET_OUTLETS if circuit.socket_outlets and not items else _circuit_kind(items)
            current, _ = final_circuit_current_a(self._house, circuit, self._limits)
            self._put(name, current)
            return
        for item in items:
            self._add_item(item, circuit)

    def _add_item(self, item: Equipment, circuit: Circuit) -> None:
        if item.source is not None and item.charger is None:
            if item.source.charging_current_a:
                self._put("storage", item.source.charging_current_a)
            return
        if item.kind in COOKING:
            self._cooking.append(item)
            self._cooking_outlet = self._cooking_outlet or circuit.socket_outlets
            return
        self._put(_kind(item), drawn_current_a(item, self._voltage))

    def _put(self, name: str, current: float) -> None:
        self._currents.setdefault(name, []).append(current)

    def terms(self) -> list[Term]:
        shared = has_diversity(self._house)
        terms = [
            Term(name, after_diversity_a(name, currents, self._limits) if shared else total(currents), "A")
            for name, currents in self._currents.items()
        ]
        if self._cooking:
            terms.append(Term(COOKING_LOADS, self._cooking_a(shared), "A"))
        return terms

    def _cooking_a(self, shared: bool) -> float:
        if shared:
            return cooking_current_a(self._cooking, self._cooking_outlet, self._voltage, self._limits)
        return total(drawn_current_a(item, self._voltage) for item in self._cooking)


def _kind(item: Equipment) -> str:
    return HEATING_AND_POWER if item.kind in _HEATING_AND_POWER else item.kind.value


def _circuit_kind(items: Sequence[Equipment]) -> str:
    return _kind(items[0]) if items else "stated"
