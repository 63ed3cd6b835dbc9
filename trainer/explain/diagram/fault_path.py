"""A simulated fault on the drawing: the way of its current, what each device makes of it, what goes dark."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.domain.faults.path import SUPPLY_FUSE
from trainer.domain.faults.walk import FaultWalk, Mode, WalkKind
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.physics.responses import Function, Response
from trainer.domain.vocabulary import EarthingSystem
from trainer.explain.diagram.nodes import DARK, LIT, Reading, Translate
from trainer.explain.responses import verdict_word

_AMPERE_MA = 1000.0
_IN_AMPERES_FROM_MA = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultPath:
    """What a fault puts at the places of the drawing, by path."""

    readings: dict[str, tuple[Reading, ...]]
    tones: dict[str, str]


def fault_path(walk: FaultWalk, house: Installation, translate: Translate) -> FaultPath:
    """The marks of one fault walk."""
    readings: defaultdict[str, list[Reading]] = defaultdict(list)
    for path, reading in _readings(walk, house, translate):
        readings[_place_of(path)].append(reading)
    tones = {f"circuits.{key}": DARK for key in (*walk.goes_dark, *walk.may_go_dark)}
    tones |= dict.fromkeys(_way(walk, house), LIT)
    return FaultPath(readings={path: tuple(each) for path, each in readings.items()}, tones=tones)


def _place_of(path: str) -> str:
    """The node of the drawing that a path belongs to: what stands inside equipment is drawn with it."""
    return ".".join(path.split(".")[:2])


def amount(current_ma: float) -> str:
    """A current in mA, or in A where it is large."""
    if current_ma >= _IN_AMPERES_FROM_MA:
        return f"{current_ma / _AMPERE_MA:.0f}\u00a0A"
    return f"{current_ma:.0f}\u00a0mA"


def _readings(walk: FaultWalk, house: Installation, _: Translate) -> Iterator[tuple[str, Reading]]:
    place = walk.place
    at = f"equipment.{place.equipment}" if place.equipment else f"circuits.{place.circuit}"
    touched = walk.kind is WalkKind.CONTACT
    yield at, Reading(sign="fault", words=_("touched here") if touched else _("fault here"), tone="fault")
    for key in walk.flowing_from:
        yield (
            f"{'equipment' if key in house.equipment else 'circuits'}.{key}",
            Reading(sign="fault", words=_("d.c. flows from here"), tone="fault"),
        )
    for step in walk.steps:
        path = step.device if step.device.startswith(("equipment.", SUPPLY_FUSE)) else f"devices.{step.device}"
        yield path, Reading(sign=f"verdict-{step.verdict}", words=step_words(step, _), tone=step.verdict.value)
    for key in walk.goes_dark:
        yield f"circuits.{key}", Reading(sign="goes-dark", words=_("goes dark"), tone="dark")
    for key in walk.may_go_dark:
        yield f"circuits.{key}", Reading(sign="may-go-dark", words=_("may go dark"), tone="dark")
    if not walk.is_cleared:
        yield (
            f"circuits.{place.circuit}",
            Reading(sign="verdict-not_required_to_trip", words=_("stays live"), tone="not_required_to_trip"),
        )


def step_words(step: Response, _: Translate) -> str:
    """What flows through a device, and what it is promised to do about it."""
    verdict = verdict_word(step.verdict, _)
    part = {
        Function.RESIDUAL: "",
        Function.DIRECT_CURRENT: _("d.c. detection"),
        Function.MONITORING: _("monitoring"),
        Function.OVERCURRENT: _("overcurrent part"),
        Function.OPEN_PEN: _("open-PEN detection"),
    }[step.function]
    words = f"{part} {verdict}" if part else verdict
    if step.function is not Function.OPEN_PEN:
        words = f"{amount(step.residual_current_ma)}: {words}"
    return words if step.most_ms is None else _("{what} in {time}\u00a0ms").format(what=words, time=f"{step.most_ms:g}")


def _way(walk: FaultWalk, house: Installation) -> Iterator[str]:
    """The places that the fault current passes: up to the supply and its earth, or to the source of an island."""
    to_fault = _upwards(house, walk.place.circuit)
    if walk.place.equipment:
        yield f"equipment.{walk.place.equipment}"
    if walk.mode is Mode.ISLAND and walk.source in house.equipment:
        to_source = _upwards(house, house.equipment[walk.source].circuit)
        yield f"equipment.{walk.source}"
        yield from (path for path in to_fault if path not in to_source)
        yield from (path for path in to_source if path not in to_fault)
        return
    yield from to_fault
    yield SUPPLY_FUSE
    if house.supply.earthing_system is not EarthingSystem.TT:
        yield "earthing"


def _upwards(house: Installation, circuit: str) -> list[str]:
    """The circuit and everything between it and the supply, by path."""
    found: list[str] = []
    key = circuit
    while key != SUPPLY and key in house.circuits:
        found.append(f"circuits.{key}")
        key = house.circuits[key].fed_by
        while key in house.devices:
            found.append(f"devices.{key}")
            key = house.devices[key].fed_by
        if key not in house.boards:
            return found
        found.append(f"boards.{key}")
        key = house.boards[key].fed_by
    return found
