"""Decisions on overcurrent protection and cable: rating, curve, cross-section, breaking capacity."""

from __future__ import annotations

from typing import Final

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.offers import Choice, Offer, Subject, number, offer, setting
from trainer.domain.generator.ranges import protective_conductor_mm2, sizes
from trainer.domain.generator.sizing import cable_of
from trainer.domain.vocabulary import Curve

_SHOWN_SIZES: Final = 4
_SWITCH_RATINGS_A: Final = (63.0, 80.0, 100.0)
_ASSEMBLIES_A: Final = (100.0, 125.0)
_CAPACITIES_KA: Final = (4.5, 6.0, 10.0)


def rating_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """The rated current of the overcurrent device of a way."""
    offered = draft.origin[subject.role].family.circuit.offered_a
    return _ratings(draft, device, subject, sorted({*offered, device.rated_current_a}))


def switch_rating_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """The rated current of a residual current circuit-breaker."""
    return _ratings(draft, device, subject, sorted({*_SWITCH_RATINGS_A, device.rated_current_a}))


def _ratings(draft: Draft, device: Device, subject: Subject, offered: list[float]) -> Offer:
    choices = [
        Choice(
            id=number(rated),
            edits=(setting(f"devices.{device.id}.rated_current_a", rated),),
            costs=(("rated_current_a", number(rated)),),
        )
        for rated in offered
    ]
    return offer(draft.data, "rating", subject, choices, number(device.rated_current_a))


def curve_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """The instantaneous tripping curve of a way's device."""
    choices = [
        Choice(id=each.value, edits=(setting(f"devices.{device.id}.curve", each),), costs=(("curve", each.value),))
        for each in Curve
    ]
    return offer(draft.data, "curve", subject, choices, known(device.curve).value)


def cable_offer(draft: Draft, circuit: Circuit, subject: Subject) -> Offer:
    """The cross-section, four sizes round the one that serves."""
    cable = cable_of(circuit)
    wiring = draft.data.wirings[draft.wiring[circuit.id]]
    made = sizes(wiring.type, wiring.smallest_mm2)
    place = made.index(cable.cross_section_mm2)
    start = max(0, min(place - 1, len(made) - _SHOWN_SIZES))
    choices = [
        Choice(
            id=number(size),
            edits=(
                setting(f"circuits.{circuit.id}.cable.cross_section_mm2", size),
                setting(
                    f"circuits.{circuit.id}.cable.protective_conductor_mm2",
                    protective_conductor_mm2(cable.type, size),
                ),
            ),
            costs=(("cross_section_mm2", number(size)),),
            words={"earth": number(protective_conductor_mm2(cable.type, size))},
        )
        for size in made[start : start + _SHOWN_SIZES]
    ]
    return offer(draft.data, "cable", subject, choices, number(cable.cross_section_mm2))


def capacity_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """The breaking capacity of a way's device."""
    choices = [
        Choice(
            id=number(capacity),
            edits=(setting(f"devices.{device.id}.breaking_capacity_ka", capacity),),
            costs=(("breaking_capacity_ka", number(capacity)),),
        )
        for capacity in _CAPACITIES_KA
    ]
    return offer(draft.data, "capacity", subject, choices, number(known(device.breaking_capacity_ka)))


def assembly_offer(draft: Draft, board: Board, subject: Subject) -> Offer:
    """Whether the board keeps the rating it has or is exchanged for one of a higher rating."""
    choices = [
        Choice(
            id=number(rated),
            edits=(setting(f"boards.{board.id}.rated_current_a", rated),),
            costs=(("assembly", number(rated)),),
        )
        for rated in _ASSEMBLIES_A
    ]
    return offer(draft.data, "assembly", subject, choices, number(known(board.rated_current_a)))
