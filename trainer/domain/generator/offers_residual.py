"""Decisions on residual current: type, rating with delay, poles, direction, place, kind of device."""

from __future__ import annotations

from typing import Final

from trainer.domain.devices import Device
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.offers import Choice, Offer, Subject, number, offer, setting
from trainer.domain.generator.ranges import STANDARDS, modules
from trainer.domain.vocabulary import DeviceKind, Direction, RcdType, ResidualDelay

SENSITIVITIES: Final = {
    "30": (30.0, ResidualDelay.GENERAL),
    "100": (100.0, ResidualDelay.GENERAL),
    "100S": (100.0, ResidualDelay.S),
    "300S": (300.0, ResidualDelay.S),
}
"""Ratings of residual current devices for houses, the selective ones marked S."""


def type_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """Which type the residual current device is; the width goes with it."""
    choices = [
        Choice(
            id=each.value,
            edits=(
                setting(f"devices.{device.id}.rcd_type", each),
                setting(f"devices.{device.id}.modules", modules(device.kind, device.poles, each)),
            ),
            costs=(("rcd_type", each.value),),
        )
        for each in RcdType
    ]
    return offer(draft.data, "type", subject, choices, known(device.rcd_type).value)


def sensitivity_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """The rated residual operating current, with or without delay."""
    path = f"devices.{device.id}"
    choices = [
        Choice(
            id=name,
            edits=(
                setting(f"{path}.rated_residual_operating_current_ma", rated),
                setting(f"{path}.residual_delay", delay),
            ),
            costs=(("rated_residual_operating_current_ma", number(rated)), ("residual_delay", delay.value)),
        )
        for name, (rated, delay) in SENSITIVITIES.items()
    ]
    return offer(draft.data, "sensitivity", subject, choices, sensitivity_of(device))


def sensitivity_of(device: Device) -> str:
    """The option that a device's own rating and delay stand for."""
    own = (device.rated_residual_operating_current_ma, device.residual_delay)
    return next(name for name, values in SENSITIVITIES.items() if values == own)


def poles_offer(draft: Draft, device: Device, subject: Subject, *, lines: int) -> Offer:
    """Whether the device opens the lines only, or the neutral too."""
    choices = [
        Choice(
            id=str(count),
            edits=(setting(f"devices.{device.id}.poles", count),),
            costs=(("poles", str(count)),),
        )
        for count in (lines, lines + 1)
    ]
    return offer(draft.data, "poles", subject, choices, str(device.poles))


def direction_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """Whether the device may be fed from either side."""
    choices = [
        Choice(
            id=each.value,
            edits=(setting(f"devices.{device.id}.direction", each),),
            costs=(("direction", each.value),),
        )
        for each in Direction
    ]
    return offer(draft.data, "direction", subject, choices, known(device.direction).value)


def arc_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """Whether the device of a way also detects arc faults."""
    choices = [
        Choice(
            id=name,
            edits=(setting(f"devices.{device.id}.arc_fault_detection", present),),
            costs=(("arc_fault_detection", name),),
        )
        for name, present in (("without", False), ("with", True))
    ]
    return offer(draft.data, "arc", subject, choices, "with" if device.arc_fault_detection else "without")


def place_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """Behind which device of the board the way is fed."""
    choices = [
        Choice(
            id=above.id,
            edits=(setting(f"devices.{device.id}.fed_by", above.id),),
            costs=(("fed_by", "any"),),
            words={"label": above.label, "number": above.id.removeprefix("rccb")},
        )
        for above in draft.devices.values()
        if above.board == device.board and above.kind in (DeviceKind.SWITCH, DeviceKind.RCCB)
    ]
    return offer(draft.data, "place", subject, choices, device.fed_by)


def way_offer(draft: Draft, device: Device, subject: Subject) -> Offer:
    """A plain circuit-breaker, or a device with residual current protection of one type or another."""
    choices = [_plain(device), *(_with_residual(device, each) for each in RcdType)]
    intended = "circuit_breaker" if device.rcd_type is None else device.rcd_type.value
    return offer(draft.data, "way", subject, choices, intended)


def _plain(device: Device) -> Choice:
    return _way_choice(device, "circuit_breaker", DeviceKind.CIRCUIT_BREAKER, None)


def _with_residual(device: Device, rcd_type: RcdType) -> Choice:
    return _way_choice(device, rcd_type.value, DeviceKind.RCBO, rcd_type)


def _way_choice(device: Device, name: str, kind: DeviceKind, rcd_type: RcdType | None) -> Choice:
    path = f"devices.{device.id}"
    return Choice(
        id=name,
        edits=(
            setting(f"{path}.kind", kind),
            setting(f"{path}.rcd_type", rcd_type),
            setting(f"{path}.rated_residual_operating_current_ma", 30.0 if rcd_type else None),
            setting(f"{path}.residual_delay", ResidualDelay.GENERAL if rcd_type else None),
            setting(f"{path}.standard", STANDARDS[kind]),
            setting(f"{path}.modules", modules(kind, device.poles, rcd_type)),
        ),
        costs=(("kind", kind.value), *((("rcd_type", rcd_type.value),) if rcd_type else ())),
    )
