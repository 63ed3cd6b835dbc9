"""What a device, by its kind, can and must have."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from trainer.domain.devices import Device
from trainer.domain.errors import Problem
from trainer.domain.validation.draft import Draft
from trainer.domain.vocabulary import DeviceKind

_RESIDUAL: Final = (
    "rcd_type",
    "rated_residual_operating_current_ma",
    "residual_delay",
    "direct_current_detection_ma",
    "measured_break_time_ms",
)
_CURVED: Final = (DeviceKind.RCBO, DeviceKind.CIRCUIT_BREAKER)


def device_problems(draft: Draft) -> Iterator[Problem]:
    """Every fact that a device of its kind cannot have or must have, and poles the supply has not."""
    for path, device in draft.whole("devices"):
        yield from _residual(path, device)
        yield from _kind(path, device)
        if draft.supply is not None and draft.supply.phases == 1 and device.poles > 2:
            problem = "a single-phase supply has two live conductors"
            yield Problem(path=f"{path}.poles", value=device.poles, problem=problem, possible=("1", "2"))


def _residual(path: str, device: Device) -> Iterator[Problem]:
    if not device.detects_residual_current:
        for name in _RESIDUAL:
            value = getattr(device, name)
            if value is not None:
                problem = f"a {_words(device)} detects no residual current"
                yield Problem(path=f"{path}.{name}", value=_plain(value), problem=problem)
        return
    if device.rcd_type is None and device.rated_residual_operating_current_ma is None:
        problem = f"missing: without its type or this rating a {_words(device)} is no residual current device"
        yield Problem(path=f"{path}.rated_residual_operating_current_ma", problem=problem)


def _kind(path: str, device: Device) -> Iterator[Problem]:
    if device.curve is not None and device.kind not in _CURVED:
        problem = f"a {_words(device)} has no curve B, C or D"
        yield Problem(path=f"{path}.curve", value=device.curve.value, problem=problem)
    if device.arc_fault_detection and device.kind is DeviceKind.SWITCH:
        problem = "a switch detects no arc faults"
        yield Problem(path=f"{path}.arc_fault_detection", value="true", problem=problem)


def _words(device: Device) -> str:
    kind = device.kind.value
    return kind.upper() if kind.startswith("rc") else kind.replace("_", "-")


def _plain(value: object) -> str | float:
    return value if isinstance(value, int | float) else str(value)
