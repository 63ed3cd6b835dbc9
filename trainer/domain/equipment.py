"""Current-using equipment and sources, as far as their data sheets and the survey tell."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import FrontEnd, Location, MakerWord, RcdType, Stated


class EquipmentKind(StrEnum):
    """Families of equipment as the trade names them."""

    CHARGER = "charger"
    HEAT_PUMP = "heat_pump"
    PV_INVERTER = "pv_inverter"
    BATTERY_INVERTER = "battery_inverter"
    HYBRID_INVERTER = "hybrid_inverter"
    HOB = "hob"
    OVEN = "oven"
    SHOWER = "shower"
    WATER_HEATER = "water_heater"
    WASHING_MACHINE = "washing_machine"
    LUMINAIRES = "luminaires"
    SOCKET_LOADS = "socket_loads"
    IT = "it"
    MOTOR = "motor"
    LIFT = "lift"
    OTHER = "other"


class ChargerEarthing(StrEnum):
    """How the exposed parts of a charger are earthed: the routes of 722.411.4.1, TT, or none."""

    INSTALLATION_EARTH = "installation_earth"
    BALANCED_THREE_PHASE = "balanced_three_phase"
    ADDITIONAL_ELECTRODE = "additional_electrode"
    DEVICE_SENSING_PROTECTIVE_CONDUCTOR = "device_sensing_protective_conductor"
    DEVICE_SENSING_VOLTAGE = "device_sensing_voltage"
    EQUIVALENT_DEVICE = "equivalent_device"
    OWN_TT_ELECTRODE = "own_tt_electrode"
    ELECTRICAL_SEPARATION = "electrical_separation"


class SensesOpenPen(StrEnum):
    """What a charger's sheet says of the detection of an open PEN conductor."""

    PROTECTIVE_CONDUCTOR = "protective_conductor"
    VOLTAGE = "voltage"
    EQUIVALENT = "equivalent"
    NONE = "none"
    SILENT = "silent"


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltInResidualDevice:
    """A residual current device inside equipment, named with its product standard in the sheet."""

    standard: str
    rcd_type: RcdType
    rated_residual_operating_current_ma: float
    opens_all_live: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Charger:
    """Facts of a charging point for electric vehicles.

    ``direct_current_detection``: whether the sheet names detection of smooth d.c.;
    ``direct_current_detection_ma`` its threshold and ``_standard`` the standard it names.
    """

    earthing: ChargerEarthing | None = None
    direct_current_detection: Stated | None = None
    direct_current_detection_ma: float | None = None
    direct_current_detection_standard: str | None = None
    open_pen: SensesOpenPen | None = None
    open_pen_disconnects_within_s: float | None = None
    charges_outdoors: bool | None = None
    electrode_resistance_ohm: float | None = None
    electrode_clear_of_bonded_metal: bool | None = None
    simultaneous_reach_of_earths: bool | None = None
    armour_isolated_at_one_end: bool | None = None
    load_limit_a: float | None = None
    load_limit_fail_safe: bool | None = None
    points: int = 1


class SourceKind(StrEnum):
    """Sources that can feed an installation beside the network."""

    PV = "pv"
    BATTERY = "battery"
    HYBRID = "hybrid"
    VEHICLE = "vehicle"
    GENERATING_SET = "generating_set"


class NeutralEarthLink(StrEnum):
    """How neutral and earth are linked at a source while the network is away."""

    AUTOMATIC = "automatic"
    FIXED = "fixed"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Facts of equipment that can feed the installation.

    ``rated_current_a`` is its a.c. output current Ig per line; ``charging_current_a`` what storage
    draws from the network to charge, None where it does not. ``island_fault_current_a`` is the
    current into a fault while it forms the island. ``residual_monitoring``: IEC 62109-2.
    """

    kind: SourceKind
    rated_current_a: float
    island: bool = False
    island_fault_current_a: float | None = None
    neutral_earth_link: NeutralEarthLink | None = None
    island_isolator_opens_all_live: bool | None = None
    residual_monitoring: bool | None = None
    type_tested: bool | None = None
    counts_in_registered_capacity: bool = True
    isolator_ac: bool | None = None
    isolator_dc: bool | None = None
    plug_connected: bool = False
    voltage_rise_percent: float | None = None
    charging_current_a: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PvArray:
    """Strings of an array and the values of their modules at standard test conditions."""

    modules_in_series: int
    strings_in_parallel: int
    open_circuit_voltage_v: float
    short_circuit_current_a: float
    voltage_coefficient_percent_per_k: float | None = None
    minimum_temperature_c: float | None = None
    module_maximum_overcurrent_protection_a: float | None = None
    string_fuse_rated_current_a: float | None = None
    maximum_input_voltage_v: float | None = None
    class_ii: bool | None = None
    frame_is_extraneous: bool | None = None
    frame_earthing: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """Where a stationary battery stands."""

    location: Location
    distance_to_openings_m: float | None = None
    alarm_linked: bool | None = None
    fire_service_notice: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Motor:
    """Starting behaviour of a motor or compressor."""

    direct_on_line: bool
    starting_current_a: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """One item of equipment on a circuit.

    ``protective_conductor_current_ma`` is its standing a.c. leakage, ``standing_dc_ma`` the
    smooth d.c. part that it may let flow in normal service. ``maker_rcd_type`` with
    ``maker_rcd_word`` is what its maker requires or recommends. None means not known.
    """

    id: str
    circuit: str
    kind: EquipmentKind
    label: str = ""
    rated_current_a: float | None = None
    rated_power_w: float | None = None
    phases: int = 1
    location: Location = Location.INDOORS
    fixed: bool = True
    plug_in: bool = False
    industrial_plug: bool = False
    front_end: FrontEnd | None = None
    galvanic_separation: bool | None = None
    protective_conductor_current_ma: float | None = None
    standing_dc_ma: float | None = None
    maker_rcd_type: RcdType | None = None
    maker_rcd_word: MakerWord | None = None
    maker_rcd_not_needed: bool = False
    maker_rcd_rated_residual_operating_current_ma: float | None = None
    maker_maximum_overcurrent_device_a: float | None = None
    maker_minimum_circuit_current_a: float | None = None
    maker_curve: str | None = None
    built_in_rcd: BuiltInResidualDevice | None = None
    charger: Charger | None = None
    source: Source | None = None
    pv_array: PvArray | None = None
    battery: Battery | None = None
    motor: Motor | None = None
