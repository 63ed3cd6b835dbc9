"""The way from a circuit back to the supply: boards, distribution circuits, means of earthing."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing, Equipment
from trainer.domain.installation import Installation


def board_of(house: Installation, circuit: Circuit) -> Board:
    """The board in which the device that feeds a circuit sits."""
    device = house.devices.get(circuit.fed_by)
    return house.boards[circuit.fed_by if device is None else device.board]


def distribution_circuits_above(house: Installation, board: Board) -> tuple[Circuit, ...]:
    """The distribution circuits between a board and the supply, the nearest first."""
    feeder = house.circuits.get(board.fed_by)
    if feeder is None:
        return ()
    return (feeder, *distribution_circuits_above(house, board_of(house, feeder)))


def sections(house: Installation, circuit: Circuit) -> tuple[Circuit, ...]:
    """The circuit and the distribution circuits that feed it, the circuit itself first."""
    return (circuit, *distribution_circuits_above(house, board_of(house, circuit)))


def charger_with_own_earth(house: Installation, circuit: Circuit) -> Equipment | None:
    """The charger at the end of a circuit whose exposed parts are not earthed by the installation.

    Its own electrode (TT) or electrical separation then stands for the installation's earthing.
    """
    for item in house.equipment_on(circuit):
        if item.charger is not None and item.charger.earthing in _OWN_EARTH:
            return item
    return None


_OWN_EARTH = frozenset({ChargerEarthing.OWN_TT_ELECTRODE, ChargerEarthing.ELECTRICAL_SEPARATION})


def incoming_rating_a(house: Installation, board: Board) -> float | None:
    """The rating of the overcurrent device that limits what the supply side feeds into a board, in A.

    The nearest overcurrent device before the board, or its only incomer where that is one; at the
    origin the service fuse. None when that is not stated.
    """
    incomers = [device for device in house.devices.values() if device.fed_by == board.id]
    before = _rating_before(house, board)
    if len(incomers) == 1 and incomers[0].breaks_overcurrent:
        own = incomers[0].rated_current_a
        return own if before is None else min(own, before)
    return before


def _rating_before(house: Installation, board: Board) -> float | None:
    feeder = house.circuits.get(board.fed_by)
    device = None if feeder is None else house.overcurrent_device(feeder)
    return house.supply.fuse_rated_current_a if device is None else device.rated_current_a
