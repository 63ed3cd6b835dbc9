"""The closed lists of trade terms that the model, the rules and the physics share.

Values are the words used in files and JSON; they are stable and never renamed.
"""

from __future__ import annotations

from enum import StrEnum


class Edition(StrEnum):
    """Editions of BS 7671:2018 under which an installation can be judged."""

    A2_2022 = "A2:2022"
    A3_2024 = "A3:2024"
    A4_2026 = "A4:2026"


DEFAULT_EDITION = Edition.A4_2026


class RcdType(StrEnum):
    """Types of residual current device by the residual current they must detect (IEC 60755)."""

    AC = "AC"
    A = "A"
    F = "F"
    B = "B"

    @property
    def rank(self) -> int:
        """Position in AC < A < F < B: each type detects all that the ones before it detect."""
        return _RANK[self]

    def covers(self, needed: RcdType) -> bool:
        """True when a device of this type detects everything that ``needed`` must detect."""
        return self.rank >= needed.rank


_RANK = {RcdType.AC: 0, RcdType.A: 1, RcdType.F: 2, RcdType.B: 3}


class ResidualDelay(StrEnum):
    """Time behaviour of a residual current device: without intended delay, or selective (S)."""

    GENERAL = "general"
    S = "S"


class DeviceKind(StrEnum):
    """Kinds of protective and switching device in a board."""

    RCCB = "rccb"
    RCBO = "rcbo"
    CIRCUIT_BREAKER = "circuit_breaker"
    FUSE = "fuse"
    SWITCH = "switch"


class Curve(StrEnum):
    """Instantaneous tripping ranges of circuit-breakers (BS EN 60898-1, BS EN 61009-1)."""

    B = "B"
    C = "C"
    D = "D"


class Direction(StrEnum):
    """Whether a device may be fed from either side, or only from its marked supply side."""

    UNIDIRECTIONAL = "unidirectional"
    BIDIRECTIONAL = "bidirectional"


class EarthingSystem(StrEnum):
    """Supply earthing. TN-C-S stands for protective multiple earthing (PME)."""

    TN_S = "TN-S"
    TN_C_S = "TN-C-S"
    TT = "TT"


class FrontEnd(StrEnum):
    """What stands between the supply terminals of equipment and its load."""

    RESISTIVE = "resistive"
    PHASE_ANGLE = "phase_angle"
    BURST = "burst"
    HALF_WAVE = "half_wave"
    HALF_WAVE_CAPACITOR = "half_wave_capacitor"
    BRIDGE_RESISTIVE = "bridge_resistive"
    BRIDGE_CAPACITOR = "bridge_capacitor"
    BRIDGE_CHOKE = "bridge_choke"
    BRIDGE_HALF_CONTROLLED = "bridge_half_controlled"
    BRIDGE_POWER_FACTOR_STAGE = "bridge_power_factor_stage"
    BRIDGE_BETWEEN_LINES = "bridge_between_lines"
    THREE_PULSE = "three_pulse"
    SIX_PULSE_CAPACITOR = "six_pulse_capacitor"
    SIX_PULSE_CHOKE = "six_pulse_choke"
    CONVERTER_SINGLE_PHASE = "converter_single_phase"
    CONVERTER_THREE_PHASE = "converter_three_phase"
    INVERTER_FULL_BRIDGE = "inverter_full_bridge"
    INVERTER_LINE_FREQUENCY_LEG = "inverter_line_frequency_leg"
    INVERTER_HALF_BRIDGE = "inverter_half_bridge"
    INVERTER_THREE_PHASE = "inverter_three_phase"


class Stated(StrEnum):
    """What a data sheet says of a property. A silent sheet leaves the safe assumption."""

    YES = "yes"
    NO = "no"
    SILENT = "silent"


class MakerWord(StrEnum):
    """How firmly a maker asks for something: a requirement decides, a recommendation advises."""

    REQUIRED = "required"
    RECOMMENDED = "recommended"


class Premises(StrEnum):
    """Use of the premises, as far as rules depend on it."""

    DWELLING = "dwelling"
    HMO = "hmo"
    STUDENT_ACCOMMODATION = "student_accommodation"
    CARE_HOME = "care_home"
    HIGHER_RISK_RESIDENTIAL = "higher_risk_residential"
    COMMERCIAL = "commercial"
    AGRICULTURAL = "agricultural"
    CARAVAN_PARK = "caravan_park"
    SCHOOL = "school"


class Location(StrEnum):
    """Where a circuit ends or an item of equipment stands."""

    INDOORS = "indoors"
    OUTDOORS = "outdoors"
    GARAGE = "garage"
    OUTBUILDING = "outbuilding"
    BATHROOM = "bathroom"
    LOFT = "loft"
    BEDROOM = "bedroom"
    ESCAPE_ROUTE = "escape_route"
    PLANT_ROOM = "plant_room"
    AGRICULTURAL_BUILDING = "agricultural_building"
    CARAVAN_PITCH = "caravan_pitch"


class Outcome(StrEnum):
    """What a rule says of one subject."""

    COMPLIES = "complies"
    DOES_NOT_COMPLY = "does_not_comply"
    ADVICE = "advice"
    UNDETERMINED = "undetermined"


class Consequence(StrEnum):
    """What is at stake when a rule is not met."""

    SHOCK = "shock"
    FIRE = "fire"
    EQUIPMENT = "equipment"
    NUISANCE = "nuisance"
    DOCUMENTATION = "documentation"
    DESIGN = "design"
    VERIFICATION = "verification"
