"""The type of a residual current device against what its loads can send through it."""

from __future__ import annotations

from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Verdict, at_most, holds, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import (
    circuit_of,
    circuit_path,
    device_path,
    equipment_path,
    nearest_residual_device,
    own_circuits,
    rating_of,
    type_of,
)
from trainer.domain.rules.rcd_need import (
    Need,
    is_judged_by_own_rule,
    is_open,
    is_plugged_in,
    is_pv,
    open_fact,
    type_for_sockets,
    type_needed,
)
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, MakerWord, Outcome, RcdType


class _Loads:
    """What the loads of one device need, gathered load by load: the neediest, the unknown, the plugged in."""

    __slots__ = ("case", "needed", "noted", "noted_path", "path", "settled_by", "unknown")

    def __init__(self) -> None:
        self.needed: RcdType | None = None
        self.case = ""
        self.path = ""
        self.unknown: Equipment | None = None
        self.settled_by = RcdType.AC
        self.noted: RcdType | None = None
        self.noted_path = ""

    def add(self, needed: RcdType, case: str, path: str) -> None:
        """Keep a need when it is the highest so far."""
        if self.needed is None or needed.rank > self.needed.rank:
            self.needed, self.case, self.path = needed, case, path

    def leave_open(self, item: Equipment, settled_by: RcdType) -> None:
        """Keep a load whose need is not known, and the type that would settle it."""
        if settled_by.rank > self.settled_by.rank:
            self.unknown, self.settled_by = item, settled_by

    def note(self, item: Equipment, need: Need) -> None:
        """Keep what a plugged-in load would need if it were fixed."""
        if need.rcd_type is not None and (self.noted is None or need.rcd_type.rank > self.noted.rank):
            self.noted, self.noted_path = need.rcd_type, equipment_path(item)


def _gather(device: Device, house: Installation, limits: Limits) -> _Loads:
    loads = _Loads()
    for circuit in own_circuits(house, device):
        items = house.equipment_on(circuit)
        if circuit.socket_outlets:
            loads.add(type_for_sockets(limits), "socket_outlets", circuit_path(circuit))
        elif not items and house.is_final(circuit):
            loads.add(type_for_sockets(limits), "not_known_free_of_dc", circuit_path(circuit))
        for item in items:
            _add(loads, item, limits)
    return loads


def _add(loads: _Loads, item: Equipment, limits: Limits) -> None:
    need = type_needed(item, limits)
    if is_plugged_in(item):
        loads.add(type_for_sockets(limits), "socket_outlets", equipment_path(item))
        loads.note(item, need)
    elif is_judged_by_own_rule(item):
        if need.rcd_type is not None and _beside_own_rule(item, need):
            loads.add(need.rcd_type, need.case, equipment_path(item))
    elif is_open(item, need):
        loads.add(type_for_sockets(limits), "not_known_free_of_dc", equipment_path(item))
        loads.leave_open(item, need.rcd_type or RcdType.B)
    elif need.rcd_type is not None:
        loads.add(need.rcd_type, need.case, equipment_path(item))


def _beside_own_rule(item: Equipment, need: Need) -> bool:
    """What the rules of chargers and of PV do not ask: the charger maker's type, and no type AC."""
    if item.kind is EquipmentKind.CHARGER:
        return need.case == "maker_requires"
    return is_pv(item) and need.case == "separation"


@rule("RCD-06", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO02",))
def type_suited_to_the_loads(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The type of the device detects every residual current that the loads on its circuits can produce.

    Why: a device is promised to act only on the shapes of current of its type; on another shape it
    is not required to act, and a person in the way has no protection left.
    Remedy: the type that the maker states, or the type of the front end where the sheet is silent.
    Assumes: the maker's stated type decides for fixed equipment; loads that are plugged in ask for
    type A, and one that could produce more is noted only. Chargers, heat pumps and PV have rules of
    their own. Loads that nobody described are not known to be free of d.c.
    """
    if not device.detects_residual_current:
        return None
    loads = _gather(device, house, limits)
    needed, fitted = loads.needed, device.rcd_type
    if needed is None:
        return None
    if fitted is None:
        return undetermined(f"{device_path(device)}.rcd_type")
    if not fitted.covers(needed):
        return holds(False, value=fitted, limit=needed, case=loads.case, related=(loads.path,))
    return _beyond_the_need(loads, fitted, needed)


def _beyond_the_need(loads: _Loads, fitted: RcdType, needed: RcdType) -> Verdict:
    """The verdict on a device that covers what is known: what is unknown, and what may be plugged in."""
    if loads.unknown is not None and not fitted.covers(loads.settled_by):
        return undetermined(open_fact(loads.unknown))
    if loads.noted is not None and not fitted.covers(loads.noted):
        return holds(
            False,
            value=fitted,
            limit=loads.noted,
            case="plugged_in_load",
            related=(loads.noted_path,),
            otherwise=Outcome.ADVICE,
        )
    return holds(True, value=fitted, limit=needed, case="suits_the_loads")


@rule("HP-01", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO34", "LO02"))
def heat_pump_by_its_maker(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A heat pump whose maker requires a type of residual current device has one of that type before it.

    Why: the maker knows the front end and has tested with that type; a departure is the designer's
    to answer for, and the sheet is part of what the regulations ask to be followed.
    Remedy: the type, and the rated residual operating current, that the sheet states.
    """
    required = item.maker_rcd_type
    if item.kind is not EquipmentKind.HEAT_PUMP or required is None or item.maker_rcd_word is not MakerWord.REQUIRED:
        return None
    device = nearest_residual_device(house, circuit_of(house, item))
    if device is None:
        return holds(False, limit=required, case="no_residual_current_device")
    try:
        fitted = type_of(device)
        if not fitted.covers(required):
            return holds(False, value=fitted, limit=required, case="maker_requires", related=(device_path(device),))
        return _as_required(item, device, required)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _as_required(item: Equipment, device: Device, required: RcdType) -> Verdict:
    """The rated residual operating current that a maker requires with the type."""
    rating = item.maker_rcd_rated_residual_operating_current_ma
    if rating is None:
        return holds(True, value=device.rcd_type, limit=required, case="as_the_maker_requires")
    return at_most(rating_of(device), rating, unit="mA", case="maker_requires_rating", related=(device_path(device),))


@rule("HP-02", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO02", "LO35"))
def heat_pump_by_its_front_end(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """Before a heat pump whose maker requires no type, the device suits the front end.

    Why: a power-factor stage or a three-phase bridge turns a fault behind it into d.c. that never
    falls to zero; types AC, A and F are not required to act on it.
    Remedy: ask the maker first; without an answer the type of the front end.
    """
    if item.kind is not EquipmentKind.HEAT_PUMP or is_plugged_in(item):
        return None
    need = type_needed(item, limits)
    device = nearest_residual_device(house, circuit_of(house, item))
    if device is None or need.case == "maker_requires":
        return None
    fitted, needed = device.rcd_type, need.rcd_type
    if fitted is None:
        return undetermined(f"{device_path(device)}.rcd_type")
    if fitted is RcdType.B or (needed is not None and fitted.covers(needed)):
        return holds(True, value=fitted, limit=needed, case=need.case)
    if is_open(item, need):
        return undetermined(open_fact(item))
    return holds(False, value=fitted, limit=needed, case=need.case, related=(device_path(device),))


@rule("MAK-01", over=Over.EQUIPMENT, consequence=Consequence.EQUIPMENT, objectives=("LO34",))
def makers_recommendation(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The type that a maker recommends, without requiring it, is fitted.

    Why: against a recommendation the installation may still comply, but the maker's guarantee may
    not hold, and the designer carries the reason.
    Remedy: the recommended type, or a note of the reason and a word with the maker.
    Assumes: a requirement is judged by the rules on the type of the device, not here.
    """
    stated = item.maker_rcd_type
    if stated is None or item.maker_rcd_word is MakerWord.REQUIRED:
        return None
    device = nearest_residual_device(house, circuit_of(house, item))
    if device is None:
        return holds(False, limit=stated, case="no_residual_current_device", otherwise=Outcome.ADVICE)
    try:
        fitted = type_of(device)
        if fitted.covers(stated):
            return _recommended_rating(item, device, stated)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    if item.maker_rcd_word is None:
        return undetermined(f"{equipment_path(item)}.maker_rcd_word")
    return holds(
        False,
        value=fitted,
        limit=stated,
        case="against_the_recommendation",
        related=(device_path(device),),
        otherwise=Outcome.ADVICE,
    )


def _recommended_rating(item: Equipment, device: Device, stated: RcdType) -> Verdict:
    """The rated residual operating current that a maker recommends with the type; another is advice."""
    rating = item.maker_rcd_rated_residual_operating_current_ma
    if rating is None:
        return holds(True, value=device.rcd_type, limit=stated, case="as_recommended")
    own = rating_of(device)
    return holds(own == rating, value=own, limit=rating, unit="mA", case="recommended_rating", otherwise=Outcome.ADVICE)


@rule("PV-01", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO15", "LO02"))
def type_before_a_pv_inverter(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A residual current device before a PV inverter is type B, unless separation or the maker allows another.

    Why: without separation the direct current of the array meets the mains; a fault on the d.c. side
    sends smooth d.c. through the device, and types AC, A and F are not required to act on it.
    Remedy: type B, or an inverter with at least simple separation, or the maker's declaration of the type.
    Assumes: no residual current device before the inverter is no breach of this rule.
    """
    if not is_pv(item):
        return None
    device = nearest_residual_device(house, circuit_of(house, item))
    if device is None:
        return None
    fitted = device.rcd_type
    if fitted is None:
        return undetermined(f"{device_path(device)}.rcd_type")
    stated = item.maker_rcd_type
    if stated is not None and (item.maker_rcd_word is MakerWord.REQUIRED or fitted.covers(stated)):
        return _pv_verdict(fitted, stated, "maker_states", device)
    return _without_the_maker(item, fitted, device, limits)


def _without_the_maker(item: Equipment, fitted: RcdType, device: Device, limits: Limits) -> Verdict:
    """The verdict where no stated type decides: a bare declaration, separation, or type B."""
    if fitted is RcdType.B:
        return holds(True, value=fitted, limit=RcdType.B, case="type_b")
    if item.maker_rcd_not_needed:
        return _pv_verdict(fitted, limits.residual.least_type("separated"), "maker_declares", device)
    if item.galvanic_separation is None:
        return undetermined(f"{equipment_path(item)}.galvanic_separation")
    if item.galvanic_separation:
        return holds(True, value=fitted, case="separation")
    return _pv_verdict(fitted, RcdType.B, "type_b_needed", device)


def _pv_verdict(fitted: RcdType, needed: RcdType, case: str, device: Device) -> Verdict:
    if fitted.covers(needed):
        return holds(True, value=fitted, limit=needed, case=case)
    return holds(False, value=fitted, limit=needed, case=case, related=(device_path(device),))


RULES: tuple[Rule, ...] = (
    type_suited_to_the_loads,
    heat_pump_by_its_maker,
    heat_pump_by_its_front_end,
    makers_recommendation,
    type_before_a_pv_inverter,
)
