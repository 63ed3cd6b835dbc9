"""The service: its fuse as a protective device, the tails, and a fault at the main earthing terminal."""

from __future__ import annotations

from trainer.domain.calculations.adiabatic import energy_a2s, let_through_a2s
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.findings import Term, Terms
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import DeviceKind, EarthingSystem


def service_fuse(house: Installation) -> Device:
    """The network operator's fuse as a device. *Raises* MissingFactError."""
    rated = house.supply.fuse_rated_current_a
    if rated is None:
        raise MissingFactError("supply.fuse_rated_current_a")
    standard = house.supply.fuse_standard
    return Device(
        id=SUPPLY, board=SUPPLY, fed_by=SUPPLY, kind=DeviceKind.FUSE, rated_current_a=rated, poles=1, standard=standard
    )


def largest_tails_mm2(house: Installation) -> float | None:
    """The largest stated cross-section of tails; None where none is stated."""
    sizes = [
        board.tails_mm2 for board in house.boards.values() if board.fed_by == SUPPLY and board.tails_mm2 is not None
    ]
    return max(sizes, default=None)


def service_fuse_energy_a2s(house: Installation, limits: Limits) -> tuple[float, Terms]:
    """The energy that an earth fault at the main earthing terminal lets through, in A2s, with its terms.

    I = U0 / Ze, in TT U0 / RA. A current that does not reach the service fuse is taken to flow as
    long as other circuits may: 5 s in TN, 1 s in TT. *Raises* MissingFactError.
    """
    system = house.supply.earthing_system
    if system is EarthingSystem.TT:
        ohm, path = house.earthing.electrode_resistance_ohm, "earthing.electrode_resistance_ohm"
    else:
        ohm = house.supply.external_earth_fault_loop_impedance_ohm
        path = "supply.external_earth_fault_loop_impedance_ohm"
    if ohm is None:
        raise MissingFactError(path)
    current = house.supply.nominal_voltage_to_earth_v / ohm
    energy = None if system is EarthingSystem.TT else let_through_a2s(service_fuse(house), current, limits)
    if energy is None:
        times = limits.overcurrent.other_disconnection_time_s
        energy = energy_a2s(current, times["TT" if system is EarthingSystem.TT else "TN"].value)
    known = energy
    return energy, lambda: (Term("fault_current", current, "A"), Term("energy", known, "A2s"))
