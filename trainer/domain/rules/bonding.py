"""Main protective bonding and the earthing conductor."""

from __future__ import annotations

from trainer.domain.calculations.adiabatic import tabulated_protective_conductor_mm2, withstanding_mm2
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.service import largest_tails_mm2, service_fuse_energy_a2s
from trainer.domain.findings import Verdict, at_least, holds, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem


@rule("BON-01", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO43",))
def main_bonding_large_enough(_subject: Installation, house: Installation, limits: Limits) -> Verdict | None:
    """Extraneous-conductive-parts are bonded to the main earthing terminal by a conductor large enough.

    Why: without it a fault or an open PEN puts touchable pipes and exposed parts at different
    potentials; with PME the bonding conductor may carry neutral current.
    Remedy: a bonding conductor of the size that the supply asks for, before anything is added.
    Assumes: copper conductors.
    Formula: PME: S >= Table 54.8 by the supply's neutral; else S >= half the earthing conductor, 6 mm2 at least
    """
    parts = house.earthing.extraneous_parts
    if parts is None:
        return undetermined("earthing.extraneous_parts")
    if not parts:
        return holds(True, case="no_extraneous_parts")
    bonding = house.earthing.main_bonding_mm2
    if bonding is None:
        return undetermined("earthing.main_bonding_mm2")
    system = house.supply.earthing_system
    if system is None:
        return undetermined("supply.earthing_system")
    if system is EarthingSystem.TN_C_S:
        return _by_neutral(house, limits, bonding)
    return _by_earthing_conductor(house, limits, bonding)


def _by_neutral(house: Installation, limits: Limits, bonding: float) -> Verdict:
    needed = pme_bonding_mm2(house, limits)
    if needed is None:
        return undetermined("supply.neutral_mm2")
    return at_least(bonding, needed, unit="mm2", case="pme")


def pme_bonding_mm2(house: Installation, limits: Limits) -> float | None:
    """The bonding conductor that PME asks for, by the neutral of the supply; None where that is not stated."""
    neutral = house.supply.neutral_mm2
    return None if neutral is None else lookup(limits.earthing.bonding_pme).at_or_above(neutral)


def _by_earthing_conductor(house: Installation, limits: Limits, bonding: float) -> Verdict:
    earthing_conductor = house.earthing.earthing_conductor_mm2
    if earthing_conductor is None:
        return undetermined("earthing.earthing_conductor_mm2")
    bounds = limits.earthing.bonding_mm2
    half = earthing_conductor * limits.earthing.bonding_share.value
    needed = max(bounds["minimum"].value, min(half, bounds["need_not_exceed"].value))
    return at_least(bonding, needed, unit="mm2", case="by_earthing_conductor")


@rule("BON-02", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO43",))
def earthing_conductor_large_enough(_subject: Installation, house: Installation, limits: Limits) -> Verdict | None:
    """The earthing conductor withstands an earth fault, and with PME is not smaller than the bonding.

    Why: every earth fault of the installation flows through this one conductor.
    Remedy: an earthing conductor by the table for the tails, or by calculation with the service fuse.
    Assumes: copper, separate from the cables; the fault at the main earthing terminal, cleared by
    the service fuse. The least sizes of a part that lies in the ground are not judged.
    Formula: S >= Table 54.7 by the tails, or S >= sqrt(I^2 t) / k with I = U0 / Ze; PME: S >= Table 54.8
    """
    size = house.earthing.earthing_conductor_mm2
    if size is None:
        return undetermined("earthing.earthing_conductor_mm2")
    system = house.supply.earthing_system
    if system is None:
        return undetermined("supply.earthing_system")
    least: float | None = None
    if system is EarthingSystem.TN_C_S:
        least = pme_bonding_mm2(house, limits)
        if least is None:
            return undetermined("supply.neutral_mm2")
        if size < least:
            return at_least(size, least, unit="mm2", case="pme")
    try:
        return _for_the_fault(house, limits, size, least)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _for_the_fault(house: Installation, limits: Limits, size: float, least: float | None) -> Verdict:
    """Judged by the table where the tails are known and it is met, else by calculation."""
    tails = largest_tails_mm2(house)
    if tails is not None:
        by_table = tabulated_protective_conductor_mm2(tails, limits)
        if size >= by_table:
            return at_least(size, by_table, unit="mm2", case="table")
    energy, terms = service_fuse_energy_a2s(house, limits)
    needed = withstanding_mm2(energy, limits.earthing.k_factor["separate_70"].value)
    return at_least(size, needed if least is None else max(needed, least), unit="mm2", terms=terms, case="adiabatic")


RULES: tuple[Rule, ...] = (main_bonding_large_enough, earthing_conductor_large_enough)
