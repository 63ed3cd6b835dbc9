"""The supply, the means of earthing, bonding, and protection at the origin."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import EarthingSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """The network operator's supply at the origin.

    ``earthing_system`` is what the supply record states; ``apparent_earthing_system`` what the
    installation looks like, where that differs. ``fuse_standard`` is that of the cut-out fuse.
    """

    earthing_system: EarthingSystem | None
    phases: int = 1
    nominal_voltage_to_earth_v: float = 230.0
    external_earth_fault_loop_impedance_ohm: float | None = None
    prospective_fault_current_ka: float | None = None
    fuse_rated_current_a: float | None = None
    fuse_standard: str = "BS 88-3"
    apparent_earthing_system: EarthingSystem | None = None
    looped: bool | None = None
    neutral_mm2: float | None = None
    agreed_export_limit_w: float | None = None
    declared_adequate: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earthing:
    """Electrodes, earthing conductor and main protective bonding of the installation.

    ``electrode_resistance_ohm`` is RA of the installation's own electrode (TT), including the
    protective conductor to the exposed parts. ``island_electrode_resistance_ohm`` is that of an
    electrode which stays when the network is away; None where there is none.
    """

    electrode_resistance_ohm: float | None = None
    island_electrode_resistance_ohm: float | None = None
    earthing_conductor_mm2: float | None = None
    main_bonding_mm2: float | None = None
    extraneous_parts: bool | None = None


class SurgeDeviceType(StrEnum):
    """Surge protective devices by test class (BS EN 61643-11)."""

    NONE = "none"
    TYPE_1 = "type_1"
    TYPE_2 = "type_2"
    TYPE_1_AND_2 = "type_1_and_2"


@dataclass(frozen=True, slots=True, kw_only=True)
class SurgeProtection:
    """Surge protection at the origin and what was declared about it."""

    device: SurgeDeviceType | None = None
    lead_length_m: float | None = None
    one_plus_one_connection: bool | None = None
    external_lightning_protection: bool | None = None
    serious_consequence: bool | None = None
    owner_declines: bool | None = None
