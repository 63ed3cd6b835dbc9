"""Circuits and their cables."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import Location


class CableType(StrEnum):
    """Cables by the rating table of BS 7671 Appendix 4 that covers them."""

    FLAT_THERMOPLASTIC_70 = "4D5"
    MULTICORE_THERMOPLASTIC_70 = "4D2"
    ARMOURED_THERMOPLASTIC_70 = "4D4"
    ARMOURED_THERMOSETTING_90 = "4E4"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """One run of cable with its conditions of installation.

    ``protective_conductor_mm2`` is None where the steel armour serves. ``grouped_with`` counts
    the other loaded circuits beside it; ``insulation_contact_mm`` is the length in thermal
    insulation; ``conductor_temperature_c`` is the design temperature where terminals limit it, and
    ``terminals_temperature_c`` what the terminals at both ends are declared for.
    ``soil_resistivity_k_m_per_w`` is None where the tables' own value is taken.
    """

    type: CableType
    cross_section_mm2: float
    length_m: float
    reference_method: str
    protective_conductor_mm2: float | None = None
    grouped_with: int = 0
    bunched: bool = True
    ambient_c: float = 30.0
    insulation_contact_mm: float = 0.0
    buried: bool = False
    ground_c: float = 20.0
    conductor_temperature_c: float | None = None
    earthed_metal_covering: bool = False
    mechanically_protected: bool = False
    concealed_depth_mm: float | None = None
    partition_with_metal_parts: bool = False
    in_safe_zone: bool = True
    duplicated_protective_conductor: bool = False
    terminals_temperature_c: float | None = None
    soil_resistivity_k_m_per_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A final or distribution circuit: fed by a device, ending at equipment or at a board.

    ``line`` is L1, L2 or L3 for a single-phase circuit of a three-phase installation.
    ``design_current_a`` is stated where it does not follow from the equipment. In a ``ring``
    final circuit the cable's length is that of the whole ring.
    """

    id: str
    fed_by: str
    label: str = ""
    phases: int = 1
    has_neutral: bool = True
    line: str = "L1"
    cable: Cable | None = None
    design_current_a: float | None = None
    location: Location = Location.INDOORS
    socket_outlets: bool = False
    socket_outlet_rated_current_a: float | None = None
    luminaires: bool = False
    outdoor_mobile_equipment: bool = False
    critical: bool = False
    in_bathroom_zone: bool = False
    documented_risk_assessment: bool = False
    supervised_users_only: bool = False
    contains_pen: bool = False
    voltage_drop_to_board_v: float | None = None
    measured_earth_fault_loop_impedance_ohm: float | None = None
    measured_insulation_mohm: float | None = None
    ring: bool = False

    @property
    def live_conductors(self) -> int:
        """Line conductors plus the neutral where there is one."""
        return self.phases + (1 if self.has_neutral else 0)
