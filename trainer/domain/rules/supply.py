"""The supply: tails, selectivity of overcurrent devices, and what the supply really is."""

from __future__ import annotations

from trainer.domain.calculations.lookup import lookup
from trainer.domain.devices import Board, Device
from trainer.domain.findings import Verdict, at_least, at_most, holds, undetermined, within
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, DeviceKind, Outcome


@rule("SUP-01", over=Over.BOARDS, consequence=Consequence.FIRE, objectives=("LO44",))
def tails_short_and_large_enough(board: Board, house: Installation, limits: Limits) -> Verdict | None:
    """A board's tails are at most 3 m long and suit the service fuse, or have a device of their own.

    Why: tails without a device of their own rely on the network operator's fuse alone; every metre
    more is a metre in which a fault is cleared late.
    Remedy: a switch-fuse at the meter, shorter or larger tails. Who may change the service fuse is
    the network operator's matter.
    Assumes: copper tails, insulated and sheathed, clipped direct.
    Formula: length <= 3 m and S >= size for the fuse, or an overcurrent device at the start
    """
    if board.fed_by != SUPPLY:
        return _own_device(board, house)
    if board.tails_length_m is None:
        return undetermined(f"boards.{board.id}.tails_length_m")
    longest = limits.overcurrent.tails_length_m
    if not within(board.tails_length_m, longest.value):
        return at_most(board.tails_length_m, longest, case="length")
    return _size_for_the_fuse(board, house, limits)


def _size_for_the_fuse(board: Board, house: Installation, limits: Limits) -> Verdict:
    fuse, size = house.supply.fuse_rated_current_a, board.tails_mm2
    if fuse is None:
        return undetermined("supply.fuse_rated_current_a")
    needed = lookup(limits.overcurrent.tails_for_fuse).at_or_above(fuse)
    if needed is None:
        return undetermined("supply.fuse_rated_current_a", case="fuse_not_tabulated")
    if size is None:
        return undetermined(f"boards.{board.id}.tails_mm2")
    return at_least(size, needed, unit="mm2", case="size")


def _own_device(board: Board, house: Installation) -> Verdict:
    """A board beyond a distribution circuit: judged where no device protects the circuit."""
    feeder = house.circuits[board.fed_by]
    device = house.overcurrent_device(feeder)
    related = (f"circuits.{feeder.id}",) if device is None else (f"devices.{device.id}",)
    return holds(device is not None, case="own_device", related=related)


@rule("SUP-02", over=Over.DEVICES, consequence=Consequence.NUISANCE, objectives=("LO44",))
def selectivity_of_overcurrent_devices(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """An overcurrent device acts before the one upstream of it.

    Why: otherwise a fault on one circuit darkens the whole board or the house.
    Remedy: a larger ratio of ratings, or a pair whose selectivity the maker states.
    Assumes: makers' tables decide; without them a ratio of 1.6 is advice for a fuse upstream, and
    two circuit-breakers in series are selective only up to the upstream instantaneous current.
    Formula: In upstream / In >= 1.6
    """
    if not device.breaks_overcurrent:
        return None
    ratio = limits.overcurrent.selectivity_ratio.value
    for above in house.devices_above(device):
        if above.breaks_overcurrent:
            case = "fuse_upstream" if above.kind is DeviceKind.FUSE else "breaker_upstream"
            related = (f"devices.{above.id}",)
            value = above.rated_current_a / device.rated_current_a
            return at_least(value, ratio, case=case, related=related, otherwise=Outcome.ADVICE)
    fuse = house.supply.fuse_rated_current_a
    if fuse is None:
        return undetermined("supply.fuse_rated_current_a")
    value = fuse / device.rated_current_a
    return at_least(value, ratio, case="service_fuse", related=(SUPPLY,), otherwise=Outcome.ADVICE)


@rule("SUP-03", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO44", "LO08"))
def earthing_system_is_what_it_looks_like(
    _subject: Installation,
    house: Installation,
    _limits: Limits,
) -> Verdict | None:
    """The earthing system of the supply is stated, and the installation looks like it.

    Why: a supply that looks like TN-S may have become PME by a repair in the street; every choice
    for a charger outdoors hangs on it.
    Remedy: ask the network operator and record the answer.
    """
    system = house.supply.earthing_system
    if system is None:
        return undetermined("supply.earthing_system", case="not_stated")
    apparent = house.supply.apparent_earthing_system
    if apparent is not None and apparent is not system:
        return undetermined("supply.earthing_system", case="appearance_differs")
    return holds(True, value=system.value, case="as_stated")


RULES: tuple[Rule, ...] = (
    tails_short_and_large_enough,
    selectivity_of_overcurrent_devices,
    earthing_system_is_what_it_looks_like,
)
