"""Parameters that several calculations share, and the records of the model made from their values."""

from __future__ import annotations

from dataclasses import replace

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.calculations.catalogue.shape import Parameter, Values, needed, number, word
from trainer.domain.devices import Device
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.vocabulary import Curve, DeviceKind

CABLES = {
    "flat": CableType.FLAT_THERMOPLASTIC_70,
    "multicore": CableType.MULTICORE_THERMOPLASTIC_70,
    "armoured-70": CableType.ARMOURED_THERMOPLASTIC_70,
    "armoured-90": CableType.ARMOURED_THERMOSETTING_90,
}
FUSE_STANDARDS = ("BS 88-2", "BS 88-3", "BS 3036")

NOMINAL_VOLTAGE = Parameter(
    name="nominal_voltage_to_earth_v", short="u0", label="nominal voltage to earth", unit="V", required=False
)
CABLE = Parameter(
    name="cable", short="cable", label="make-up of the cable; flat by default", required=False, choices=tuple(CABLES)
)
LINE_SIZE = Parameter(name="cross_section_mm2", short="line", label="cross-section of the line conductor", unit="mm2")
PROTECTIVE_SIZE = Parameter(
    name="protective_conductor_mm2",
    short="protective",
    label="cross-section of the protective conductor; left out: the steel armour",
    unit="mm2",
    required=False,
)
LENGTH = Parameter(name="length_m", short="length", label="length of the cable", unit="m")
TEMPERATURE = Parameter(
    name="conductor_temperature_c",
    short="temperature",
    label="operating temperature of the conductors; by default that of the cable",
    unit="deg C",
    required=False,
)
PHASES = Parameter(name="phases", short="phases", label="1 or 3; 1 by default", required=False, choices=("1", "3"))
RING = Parameter(name="ring", short="ring", label="yes for a ring final circuit", required=False, choices=("no", "yes"))
CURVE = Parameter(
    name="curve", short="curve", label="curve of the circuit-breaker", required=False, choices=("B", "C", "D")
)
FUSE = Parameter(name="standard", short="fuse", label="standard of the fuse", required=False, choices=FUSE_STANDARDS)
RATED = Parameter(name="rated_current_a", short="rating", label="rated current of the device", unit="A", minimum=1.0)
RATED_OPTIONAL = Parameter(
    name="rated_current_a", short="rating", label="rated current of the device", unit="A", required=False, minimum=1.0
)
TIME = Parameter(
    name="maximum_disconnection_time_s",
    short="time",
    label="disconnection time allowed; 0.4 s by default",
    required=False,
    choices=("0.4", "5"),
)
METHOD = Parameter(
    name="reference_method",
    short="method",
    label="reference method of Appendix 4; C by default",
    required=False,
    choices=("A", "B", "C", "D", "E", "100", "101", "102", "103"),
)


def cable_from(values: Values) -> Cable:
    """The cable that the values describe."""
    method = word(values, "reference_method") or "C"
    cable = Cable(
        type=CABLES[word(values, "cable") or "flat"],
        cross_section_mm2=needed(values, "cross_section_mm2"),
        protective_conductor_mm2=number(values, "protective_conductor_mm2"),
        length_m=number(values, "length_m") or 0.0,
        reference_method=method,
        grouped_with=int(number(values, "grouped_with") or 0),
        bunched=word(values, "bunched") != "no",
        insulation_contact_mm=number(values, "insulation_contact_mm") or 0.0,
        buried=method == "D",
        conductor_temperature_c=number(values, "conductor_temperature_c"),
        soil_resistivity_k_m_per_w=number(values, "soil_resistivity_k_m_per_w"),
    )
    ambient, ground = number(values, "ambient_c"), number(values, "ground_c")
    if ambient is not None:
        cable = replace(cable, ambient_c=ambient)
    return cable if ground is None else replace(cable, ground_c=ground)


def circuit_from(values: Values) -> Circuit:
    """The circuit that the values describe; its facts are named by their parameters in errors."""
    return Circuit(
        id="given",
        fed_by="given",
        phases=int(word(values, "phases") or "1"),
        ring=word(values, "ring") == "yes",
        luminaires=word(values, "lighting") == "yes",
        cable=cable_from(values),
    )


def device_from(values: Values) -> Device | None:
    """The circuit-breaker or fuse that the values describe; None where they describe none.

    *Raises* OutOfRangeError where they describe half of one, or both.
    """
    rated = number(values, "rated_current_a")
    curve, standard = word(values, "curve"), word(values, "standard")
    if curve is not None and standard is not None:
        raise OutOfRangeError(Problem(path="curve, fuse", problem="a device is one or the other; leave one out"))
    if curve is None and standard is None:
        if rated is None:
            return None
        raise OutOfRangeError(Problem(path="curve, fuse", problem="one of them is needed beside the rating"))
    if rated is None:
        raise OutOfRangeError(Problem(path="rating", problem="is needed beside the curve or the fuse"))
    return Device(
        id="given",
        board="given",
        fed_by="given",
        kind=DeviceKind.FUSE if curve is None else DeviceKind.CIRCUIT_BREAKER,
        rated_current_a=rated,
        poles=1,
        curve=None if curve is None else Curve(curve),
        standard=standard,
    )
