"""What the loop of a bolted fault leaves of the voltage, and how much of it a person meets."""

from __future__ import annotations

from typing import NamedTuple

from trainer.domain.cables import Circuit
from trainer.domain.calculations.disconnection import TN, TT
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.loops import (
    earth_fault_loop_impedance,
    origin_impedance,
    protective_conductor_ohm,
)
from trainer.domain.calculations.paths import sections
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits


class Loop(NamedTuple):
    """An earth fault loop: its impedance, and the part between exposed parts and earth.

    ``system`` is TN, or TT where the exposed parts rest on an electrode.
    """

    impedance_ohm: float
    protective_ohm: float
    system: str


def loop_of(house: Installation, circuit: Circuit, limits: Limits) -> Loop | None:
    """The loop at the end of a circuit, or None where a part of it is not known.

    TN: the protective conductors from the main earthing terminal on are what a person bridges.
    TT: the electrode, and the network's own electrode lies in the loop as well.
    """
    try:
        impedance_ohm, _ = earth_fault_loop_impedance(house, circuit, limits)
        origin_ohm, by_electrode = origin_impedance(house, circuit)
        if by_electrode:
            network_ohm = limits.devices.faults["network_electrode"].value
            return Loop(total((impedance_ohm, network_ohm)), origin_ohm, TT)
        protective_ohm = total(protective_conductor_ohm(each, limits) for each in sections(house, circuit))
    except MissingFactError:
        return None
    return Loop(impedance_ohm, protective_ohm, TN)


class Loops:
    """The loops of one installation, each computed once."""

    __slots__ = ("_house", "_known", "_limits")

    def __init__(self, house: Installation, limits: Limits) -> None:
        self._house = house
        self._limits = limits
        self._known: dict[str, Loop | None] = {}

    def of(self, circuit: Circuit) -> Loop | None:
        """The loop at the end of a circuit, or None where a part of it is not known."""
        if circuit.id not in self._known:
            self._known[circuit.id] = loop_of(self._house, circuit, self._limits)
        return self._known[circuit.id]
