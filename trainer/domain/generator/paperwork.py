"""Notices, routes to the network operator, surge protection, and the demand that they rest on."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Final

from trainer.domain.calculations.demand import maximum_demand_a
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.margin import BAND
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.sizing import NoCableError
from trainer.domain.installation import Network
from trainer.domain.limits import Limits
from trainer.domain.notices import GenerationRoute, LoadRoute, Notice, Procedure
from trainer.domain.supply import SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import EarthingSystem, Location

_FUSES_A: Final = (60.0, 80.0, 100.0)
_ASSEMBLIES_A: Final = (100.0, 125.0)
_TRICKLE_A: Final = 5.0
_LEAST_LOGGED_A: Final = 8.0
_LIMITED_A: Final = (20.0, 16.0, 10.0)
_WITHOUT_APPLICATION_A: Final = 60.0
_NUDGES: Final = 4
_MICRO_A: Final = 16.0

ALWAYS: Final = frozenset({Notice.RCD_TEST, Notice.PERIODIC_INSPECTION, Notice.CIRCUIT_CHART})
SUPPLY_NOTICES: Final = (
    Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN,
    Notice.ALTERNATIVE_SUPPLY_AT_METER,
    Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT,
    Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS,
)


def settle_demand(draft: Draft, limits: Limits) -> None:
    """Keep the demand clear of the service fuse and of 60 A: a larger fuse, else a load limit.

    *Raises* NoCableError where neither helps, so that the draw is repeated.
    """
    clear_a = _clear_of_the_route(draft, limits)
    relieved = _within_the_fuse(draft, demand_a(draft, limits) if clear_a is None else clear_a, limits)
    if relieved or clear_a is None:
        _clear_of_the_route(draft, limits)
    _rate_the_boards(draft)


def _rate_the_boards(draft: Draft) -> None:
    """Assemblies of 100 A where fuse and sources together allow it, else of 125 A."""
    generated = sum_of([item for item in draft.equipment.values() if item.source is not None], 1)
    enough = (draft.supply.fuse_rated_current_a or 0.0) + generated <= _ASSEMBLIES_A[0]
    for board in list(draft.boards.values()):
        draft.boards[board.id] = replace(board, rated_current_a=_ASSEMBLIES_A[0] if enough else _ASSEMBLIES_A[1])


def _clear_of_the_route(draft: Draft, limits: Limits) -> float | None:
    """Load the socket-outlets a little more where the demand lies too near to the 60 A of notification.

    Gives the demand, or None where it still lies too near.
    """
    for _ in range(_NUDGES):
        demand = demand_a(draft, limits)
        if abs(demand - _WITHOUT_APPLICATION_A) > _WITHOUT_APPLICATION_A * BAND:
            return demand
        for circuit in list(draft.circuits.values()):
            largest = max(draft.origin[circuit.id].family.circuit.rated_currents_a)
            if circuit.design_current_a is not None and circuit.design_current_a < largest:
                draft.circuits[circuit.id] = replace(circuit, design_current_a=circuit.design_current_a + 1)
    return None


def _within_the_fuse(draft: Draft, demand: float, limits: Limits) -> bool:
    """A fuse for a demand in A; true where only less load brought it within one."""
    most = _largest_fuse_a(draft)
    fuse = min(draft.supply.fuse_rated_current_a or most, most)
    for larger in (fuse, *(each for each in _FUSES_A if fuse < each <= most)):
        if demand <= larger * (1 - BAND):
            draft.supply = replace(draft.supply, fuse_rated_current_a=larger)
            return False
    draft.supply = replace(draft.supply, fuse_rated_current_a=most)
    for relieve in _reliefs():
        relieve(draft)
        if demand_a(draft, limits) <= most * (1 - BAND):
            return True
    raise NoCableError(f"a demand of {demand} A is too much for the supply")


def _largest_fuse_a(draft: Draft) -> float:
    """The largest service fuse that leaves room in an assembly of 125 A for the sources at its other end."""
    generated = sum_of([item for item in draft.equipment.values() if item.source is not None], 1)
    return next((each for each in reversed(_FUSES_A) if each + generated <= _ASSEMBLIES_A[1]), _FUSES_A[0])


def demand_a(draft: Draft, limits: Limits) -> float:
    """The maximum demand of all circuits, on the worst line."""
    house = draft.house()
    return maximum_demand_a(house, house.circuits.values(), limits)[0]


def _reliefs() -> Iterator[Callable[[Draft], None]]:
    """What brings a demand down, in the order in which a designer tries it."""
    for limited in _LIMITED_A:
        yield partial(_limit_chargers, limited_a=limited)
    yield _charge_slowly
    for _ in range(_NUDGES):
        yield _log_the_socket_outlets


def _charge_slowly(draft: Draft) -> None:
    """Storage set to charge from the network at a trickle."""
    for item in list(draft.equipment.values()):
        if item.source is not None and item.source.charging_current_a is not None:
            source = replace(item.source, charging_current_a=_TRICKLE_A)
            draft.equipment[item.id] = replace(item, source=source)


def _log_the_socket_outlets(draft: Draft) -> None:
    """Socket-outlets found to be loaded less than assumed."""
    for circuit in list(draft.circuits.values()):
        if circuit.design_current_a is not None:
            less = max(_LEAST_LOGGED_A, circuit.design_current_a - 2)
            draft.circuits[circuit.id] = replace(circuit, design_current_a=less)


def _limit_chargers(draft: Draft, limited_a: float) -> None:
    for item in list(draft.equipment.values()):
        if item.charger is not None:
            charger = replace(item.charger, load_limit_a=limited_a, load_limit_fail_safe=True)
            draft.equipment[item.id] = replace(item, charger=charger)


def settle_paper(draft: Draft, draws: Draws, limits: Limits) -> None:
    """Notices, procedures, routes and surge protection as they ought to be."""
    items = list(draft.equipment.values())
    sources = [item for item in items if item.source is not None]
    notices: set[str] = set(ALWAYS)
    notices.add(Procedure.EXISTING_INSTALLATION_ASSESSED)
    if sources:
        notices |= {*SUPPLY_NOTICES, Notice.ISOLATION_OF_ALL_SOURCES, Procedure.LOSS_OF_MAINS_TESTED}
    notices |= _tests(items)
    draft.notices = frozenset(map(str, notices))
    draft.network = Network(
        load_route=load_route(draft, demand_a(draft, limits)).value if any(_is_notified(i) for i in items) else None,
        generation_route=generation_route(sources).value if sources else None,
    )
    draft.surge = SurgeProtection(
        device=SurgeDeviceType.TYPE_2,
        lead_length_m=draws.stepped(0.2, 0.45, 0.05),
        one_plus_one_connection=draft.supply.earthing_system is EarthingSystem.TT,
        external_lightning_protection=False,
        serious_consequence=False,
        owner_declines=False,
    )


def _tests(items: list[Equipment]) -> set[str]:
    """The procedures that the record of work will have to show."""
    found: set[str] = {
        Procedure.LOADS_DISCONNECTED,
        Procedure.LEAKAGE_BY_CLAMP,
        Procedure.INSULATION_TESTED_AT_250_V,
        Procedure.DIRECT_CURRENT_DETECTION_TESTED,
        Procedure.OPEN_PEN_DETECTION_TESTED,
    }
    if any(item.battery is not None for item in items):
        found.add(Notice.FIRE_SERVICE_BATTERY)
    return found


def _is_notified(item: Equipment) -> bool:
    return item.kind in (EquipmentKind.CHARGER, EquipmentKind.HEAT_PUMP)


def load_route(draft: Draft, demand: float) -> LoadRoute:
    """Notification is enough up to 60 A on an adequate, unlooped supply."""
    supply = draft.supply
    fuse = supply.fuse_rated_current_a or 0.0
    if demand > min(_WITHOUT_APPLICATION_A, fuse) or supply.looped or not supply.declared_adequate:
        return LoadRoute.APPLY
    return LoadRoute.NOTIFY


def generation_route(sources: list[Equipment]) -> GenerationRoute:
    """G98 up to 16 A a line in all, G99 beyond. Every source counts, a hybrid once."""
    total_a = max(round(sum_of(sources, phases), 3) for phases in (1, 3))
    return GenerationRoute.G98 if total_a <= _MICRO_A else GenerationRoute.G99


def sum_of(sources: list[Equipment], phases: int) -> float:
    """The registered current on a line that carries sources of so many phases or more."""
    return math.fsum(
        item.source.rated_current_a for item in sources if item.source is not None and item.phases >= phases
    )


BATTERY_PLACES: Final = (Location.GARAGE, Location.LOFT, Location.BEDROOM, Location.ESCAPE_ROUTE)
"""Where people offer to put a battery, in the order in which they offer it."""
