"""Maximum demand, and dealings with the network operator: load, generation, export."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.domain.calculations.demand import LINES, has_diversity, maximum_demand_a
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Term, Terms, Verdict, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import GenerationRoute, LoadRoute
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence

_NOTIFIABLE = frozenset({EquipmentKind.CHARGER, EquipmentKind.HEAT_PUMP})


@rule("OC-12", over=Over.INSTALLATION, consequence=Consequence.FIRE, objectives=("LO33", "LO14"))
def maximum_demand_within_the_service_fuse(
    _subject: Installation, house: Installation, limits: Limits
) -> Verdict | None:
    """The maximum demand of the installation does not exceed the service fuse.

    Why: a service loaded for hours above its fuse overheats the cut-out, the meter and the tails.
    Remedy: load control that fails safe, less load, or a larger service by the network operator.
    Assumes: the demand that is stated; else the diversity of guidance for a dwelling, chargers and
    heat pumps in full, and all loads in full in other premises.
    Formula: demand on the worst line <= rated current of the service fuse
    """
    fuse = house.supply.fuse_rated_current_a
    if fuse is None:
        return undetermined("supply.fuse_rated_current_a")
    if house.stated_maximum_demand_a is not None:
        return at_most(house.stated_maximum_demand_a, fuse, unit="A", case="stated")
    try:
        demand, terms = maximum_demand_a(house, house.circuits.values(), limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    if has_diversity(house):
        return at_most(demand, fuse, unit="A", terms=terms, case="with_diversity")
    if within(demand, fuse):
        return at_most(demand, fuse, unit="A", terms=terms, case="without_diversity")
    return undetermined("premises" if house.premises is None else "stated_maximum_demand_a")


@rule("DNO-01", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO39",))
def route_for_load(_subject: Installation, house: Installation, limits: Limits) -> Verdict | None:
    """A charger or heat pump is applied for before work, unless notice afterwards is enough.

    Why: the operator must know what the street will draw, and first where it may not carry it.
    Remedy: apply before work where the demand exceeds 60 A or the service fuse, the service is
    looped, or its adequacy is not known; notify within 28 days otherwise.
    Assumes: what is not known counts as a reason to apply.
    Formula: notify only if demand <= 60 A and demand <= service fuse, not looped, adequacy known
    """
    if not any(item.kind in _NOTIFIABLE for item in house.equipment.values()):
        return None
    route = house.network.load_route
    if route is None:
        return undetermined("network.load_route")
    if route == LoadRoute.APPLY:
        return holds(True, value=route, case="applied")
    reason = _reason_to_apply(house)
    if reason is not None:
        return holds(False, value=route, case=reason)
    return _notified_demand(house, limits)


def _reason_to_apply(house: Installation) -> str | None:
    """Why notice afterwards is not enough, whatever the demand; None where it may be."""
    supply = house.supply
    if supply.looped is None or supply.declared_adequate is None:
        return "not_known"
    if supply.looped:
        return "looped"
    return None if supply.declared_adequate else "not_adequate"


def _notified_demand(house: Installation, limits: Limits) -> Verdict:
    fuse = house.supply.fuse_rated_current_a
    if fuse is None:
        return undetermined("supply.fuse_rated_current_a")
    try:
        demand, terms = _demand(house, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    most = min(fuse, limits.network.notification_demand_a.value)
    return at_most(demand, most, unit="A", terms=terms, case="demand")


def _demand(house: Installation, limits: Limits) -> tuple[float, Terms]:
    if house.stated_maximum_demand_a is not None:
        return house.stated_maximum_demand_a, ()
    return maximum_demand_a(house, house.circuits.values(), limits)


@rule("DNO-02", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO40", "LO46"))
def route_for_generation(_subject: Installation, house: Installation, limits: Limits) -> Verdict | None:
    """Sources connect under G98 only up to 16 A per phase in all and fully type tested, else under G99.

    Why: above that the operator decides before work whether the network can take the generation.
    Remedy: apply under G99 before work, or less registered capacity.
    Assumes: inverters count, strings and battery modules do not; a hybrid inverter counts once,
    storage and vehicles that feed back count too.
    Formula: G98 only if the sum of Ig on every line <= 16 A and every source is type tested
    """
    counted = [
        item for item in house.sources() if item.source is not None and item.source.counts_in_registered_capacity
    ]
    if not counted:
        return None
    route = house.network.generation_route
    if route is None:
        return undetermined("network.generation_route")
    if route == GenerationRoute.G99:
        return holds(True, value=route, case="applied")
    most = limits.network.registered_current_a
    current, on_line = _registered(counted, house)
    if not within(current, most.value):
        return at_most(current, most, terms=lambda: _source_terms(on_line), case="capacity")
    for item in counted:
        if item.source is not None and item.source.type_tested is not True:
            return _not_type_tested(item, item.source.type_tested)
    return at_most(current, most, terms=lambda: _source_terms(on_line), case="capacity")


def _not_type_tested(item: Equipment, stated: bool | None) -> Verdict:
    if stated is None:
        return undetermined(f"equipment.{item.id}.source.type_tested")
    return holds(False, case="type_tested", related=(f"equipment.{item.id}",))


def _registered(sources: Iterable[Equipment], house: Installation) -> tuple[float, list[Equipment]]:
    """The registered current on the worst line, and the sources on it."""
    best: tuple[float, list[Equipment]] = (0.0, [])
    for line in LINES:
        on_line = [
            item
            for item in sources
            if house.circuits[item.circuit].phases > 1 or house.circuits[item.circuit].line == line
        ]
        current = total(item.source.rated_current_a for item in on_line if item.source is not None)
        if current > best[0]:
            best = (current, on_line)
    return best


def _source_terms(sources: Iterable[Equipment]) -> tuple[Term, ...]:
    return tuple(Term(item.id, item.source.rated_current_a, "A") for item in sources if item.source is not None)


@rule("DNO-03", over=Over.INSTALLATION, consequence=Consequence.EQUIPMENT, objectives=("LO40",))
def export_within_the_agreement(
    _subject: Installation,
    house: Installation,
    _limits: Limits,
) -> Verdict | None:
    """Sources that could export more than is agreed with the operator are limited.

    Why: more export than agreed overloads the network or raises its voltage until inverters trip.
    Remedy: an export limitation scheme, less capacity, or a higher agreed limit.
    Assumes: all sources at full output and no load.
    Formula: sum of Ig * U0 * phases <= agreed export, or an export limitation scheme
    """
    agreed = house.supply.agreed_export_limit_w
    sources = house.sources()
    if agreed is None or not sources:
        return None
    voltage = house.supply.nominal_voltage_to_earth_v
    possible = total(
        item.source.rated_current_a * voltage * house.circuits[item.circuit].phases
        for item in sources
        if item.source is not None
    )
    if within(possible, agreed):
        return at_most(possible, agreed, unit="W", case="cannot_exceed")
    limited = house.network.export_limited
    if limited is None:
        return undetermined("network.export_limited")
    return holds(limited, value=possible, limit=agreed, unit="W", case="limited")


RULES: tuple[Rule, ...] = (
    maximum_demand_within_the_service_fuse,
    route_for_load,
    route_for_generation,
    export_within_the_agreement,
)
