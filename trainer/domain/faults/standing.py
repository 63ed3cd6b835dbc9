"""Currents that flow through a device all the time: leakage and smooth d.c. of the equipment behind it."""

from __future__ import annotations

from typing import NamedTuple

from trainer.domain.devices import Device
from trainer.domain.findings import total
from trainer.domain.installation import Installation


class Standing(NamedTuple):
    """Standing residual current at one device: alternating leakage, and smooth direct current.

    Equal polarity and equal phase are assumed, so the currents add: the worst case.
    """

    ac_ma: float
    dc_ma: float


class StandingCurrents:
    """Standing currents at every residual current device of one installation, each summed once."""

    __slots__ = ("_house", "_known")

    def __init__(self, house: Installation) -> None:
        self._house = house
        self._known: dict[tuple[str, str | None], Standing] = {}

    def at(self, device: Device, *, without: str | None = None) -> Standing:
        """The currents at a device; ``without`` leaves out the equipment whose fault is walked."""
        key = (device.id, without)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._sum(device, without)
        return known

    def _sum(self, device: Device, without: str | None) -> Standing:
        items = [item for item in self._house.equipment_below(device) if item.id != without]
        return Standing(
            total(item.protective_conductor_current_ma or 0.0 for item in items),
            total(item.standing_dc_ma or 0.0 for item in items),
        )
