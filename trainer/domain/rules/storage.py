"""Stationary batteries: where they stand, and what warns of them."""

from __future__ import annotations

from trainer.domain.equipment import Battery, Equipment
from trainer.domain.findings import Verdict, at_least, holds, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import Notice
from trainer.domain.rules.paths import HOUSEHOLDS, equipment_path
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, Location, Outcome

_REFUSED = frozenset({Location.BEDROOM, Location.ESCAPE_ROUTE, Location.LOFT})


@rule("BAT-01", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO24",))
def place_of_the_battery(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """In a dwelling no battery stands where people sleep or flee or under the roof; outdoors it is clear of openings.

    Why: a cell in thermal runaway can hardly be put out; smoke and flame must not meet sleepers or cut their way.
    Remedy: outdoors, at least 1 m from doors, windows and vents, or an outbuilding, garage or plant room.
    Assumes: a bathroom stands in no list; Section 701 and the maker's sheet decide there, so it is advice.
    Formula: outdoors distance to openings >= 1 m
    """
    battery = item.battery
    if battery is None:
        return None
    if house.premises is None:
        return undetermined("premises")
    if house.premises not in HOUSEHOLDS:
        return None
    return _of_place(item, battery, limits)


def _of_place(item: Equipment, battery: Battery, limits: Limits) -> Verdict:
    place = battery.location
    if place in _REFUSED:
        return holds(False, value=place, case="refused_place")
    if place is Location.BATHROOM:
        return holds(False, value=place, case="wet_place", otherwise=Outcome.ADVICE)
    if place is not Location.OUTDOORS:
        return holds(True, value=place, case="accepted_place")
    return _outdoors(item, battery, limits)


def _outdoors(item: Equipment, battery: Battery, limits: Limits) -> Verdict:
    if battery.distance_to_openings_m is None:
        return undetermined(f"{equipment_path(item)}.battery.distance_to_openings_m")
    return at_least(battery.distance_to_openings_m, limits.sources.battery_distance_m, case="distance_to_openings")


@rule("BAT-02", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO24",))
def chapter_on_batteries(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """A stationary battery is built by the chapter on batteries of the current edition.

    Why: A4:2026 brought a chapter of its own for siting, protection, ventilation and isolation.
    Remedy: read the chapter; its clauses were not compared here.
    Assumes: that the chapter exists is confirmed and its clauses are not, so this is advice and no more.
    """
    if item.battery is None:
        return None
    return holds(False, case="chapter_applies", otherwise=Outcome.ADVICE)


@rule("BAT-04", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO24", "LO25"))
def alarm_and_notice_for_the_battery(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """In a dwelling a linked alarm hangs where the battery is, and a notice tells the fire service.

    Why: the battery may burn while everybody sleeps at the other end of the house, and firefighters
    must know what burns.
    Remedy: a linked smoke or heat alarm, and the notice.
    """
    battery = item.battery
    if battery is None:
        return None
    if house.premises is None:
        return undetermined("premises")
    return _warned_of(item, battery, house) if house.premises in HOUSEHOLDS else None


def _warned_of(item: Equipment, battery: Battery, house: Installation) -> Verdict:
    """The alarm beside a battery first, then the notice."""
    if battery.alarm_linked is None:
        return undetermined(f"{equipment_path(item)}.battery.alarm_linked")
    if not battery.alarm_linked:
        return holds(False, case="alarm")
    if Notice.FIRE_SERVICE_BATTERY in house.notices:
        return holds(True, case="alarm_and_notice")
    if battery.fire_service_notice is None:
        return undetermined(f"{equipment_path(item)}.battery.fire_service_notice")
    return holds(battery.fire_service_notice, case="notice" if not battery.fire_service_notice else "alarm_and_notice")


RULES: tuple[Rule, ...] = (place_of_the_battery, chapter_on_batteries, alarm_and_notice_for_the_battery)
