"""A house while it is being built, before it closes into an installation."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.plan import Chosen, Plan
from trainer.domain.installation import Installation, Network
from trainer.domain.supply import Earthing, Supply, SurgeProtection
from trainer.domain.vocabulary import RcdType


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """Who made an item, under which name it is sold, and in which style its sheet is written."""

    maker: str
    model: str
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Noticed:
    """A property of an existing circuit that the learner may keep or change, as it was found."""

    role: str
    kind: str
    option: str
    label: str
    faulty: bool


@dataclass(slots=True, kw_only=True)
class Draft:
    """The records of a house by id, what they were drawn from, and the way of each circuit.

    ``found`` is the type of a device as it was before the job, where the learner may exchange it.
    """

    data: ScenarioData
    plan: Plan
    title: str
    supply: Supply
    earthing: Earthing
    boards: dict[str, Board] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    circuits: dict[str, Circuit] = field(default_factory=dict)
    equipment: dict[str, Equipment] = field(default_factory=dict)
    surge: SurgeProtection = field(default_factory=SurgeProtection)
    network: Network = field(default_factory=Network)
    notices: frozenset[str] = frozenset()
    origin: dict[str, Chosen] = field(default_factory=dict)
    wiring: dict[str, str] = field(default_factory=dict)
    papers: dict[str, Paper] = field(default_factory=dict)
    noticed: dict[str, Noticed] = field(default_factory=dict)
    found: dict[str, RcdType] = field(default_factory=dict)
    facts: dict[str, int] = field(default_factory=dict)

    def house(self) -> Installation:
        """The installation as it stands."""
        return Installation(
            title=self.title,
            premises=self.plan.archetype.premises,
            supply=self.supply,
            earthing=self.earthing,
            boards=self.boards,
            devices=self.devices,
            circuits=self.circuits,
            equipment=self.equipment,
            surge=self.surge,
            network=self.network,
            notices=self.notices,
        )

    def way(self, circuit_id: str) -> Device:
        """The device that feeds a circuit."""
        return self.devices[self.circuits[circuit_id].fed_by]

    def is_wanted(self, circuit_id: str) -> bool:
        """True for a circuit of the new work."""
        return any(chosen.work.role == circuit_id for chosen in self.plan.wanted)
