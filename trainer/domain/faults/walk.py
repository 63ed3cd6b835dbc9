"""What a fault walk holds: a simulated earth fault and every device on the path of its current."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.physics.front_ends import FaultPoint
from trainer.domain.physics.responses import ResidualCurrent, Response
from trainer.domain.vocabulary import FrontEnd


class WalkKind(StrEnum):
    """Bolted faults are judged by disconnection times, the others by detection and product bands."""

    BOLTED = "bolted"
    RESISTIVE = "resistive"
    CONTACT = "contact"


class Mode(StrEnum):
    """How the installation is fed while the fault lasts."""

    MAINS = "mains"
    ISLAND = "island"
    OPEN_PEN = "open_pen"


class Note(StrEnum):
    """Remarks that an explanation words: keys of templates."""

    NO_RESIDUAL_CURRENT = "no_residual_current"
    GALVANIC_SEPARATION = "galvanic_separation"
    NO_RETURN_PATH = "no_return_path"
    FRONT_END_UNKNOWN = "front_end_unknown"
    ASSUMED_LOAD = "assumed_load"
    MAKER_STATES_TYPE = "maker_states_type"
    MAKER_STATES_NO_RCD = "maker_states_no_rcd"
    PLUG_IN_LOAD = "plug_in_load"
    CONVERTER_MAY_LIMIT = "converter_may_limit"
    SOURCE_LIMITS_CURRENT = "source_limits_current"
    SOURCE_KEEPS_FEEDING = "source_keeps_feeding"
    IMPEDANCE_UNKNOWN = "impedance_unknown"
    NO_TIME_APPLIES = "no_time_applies"
    DC_OF_ONE_FAULT = "dc_of_one_fault"
    DC_OF_SEVERAL = "dc_of_several"
    NO_RESIDUAL_DEVICE = "no_residual_device"
    PEN_DETECTION_OPENS = "pen_detection_opens"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the insulation fails or a person touches: a circuit, and a point of equipment on it.

    ``equipment`` is None for a fault of the circuit itself, which is a line to earth, and for one
    in a load that nobody described: ``assumed`` is then true.
    """

    circuit: str
    equipment: str | None = None
    point: FaultPoint = FaultPoint.LINE
    front_end: FrontEnd | None = None
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultWalk:
    """One simulated earth fault, walked from the place of the fault towards the source.

    ``acts_first`` is the device that must act within the shortest bound, the nearest to the fault
    among equals; None where none is required to act. ``goes_dark`` are the circuits that it cuts
    off; ``may_go_dark`` those that go with a further device that may be as quick. ``stays_live``
    are the circuits that keep their supply, the faulted one too where nothing need act.
    ``time_limit_ms`` is the disconnection time that a bolted fault must keep, None for other
    kinds. ``touch_voltage_v`` is the voltage that a person meets while the fault lasts; None where
    the impedances are not known. ``source`` is the equipment that feeds an island, or the supply;
    ``flowing_from`` names the equipment, or the circuits of loads that nobody described, whose
    earth faults send the d.c. that already flows.
    """

    kind: WalkKind
    mode: Mode
    place: Place
    current: ResidualCurrent
    steps: tuple[Response, ...]
    acts_first: str | None
    break_time_max_ms: float | None
    time_limit_ms: float | None
    goes_dark: tuple[str, ...]
    may_go_dark: tuple[str, ...]
    stays_live: tuple[str, ...]
    touch_voltage_v: float | None
    notes: tuple[Note, ...] = ()
    source: str = "supply"
    flowing_from: tuple[str, ...] = ()

    @property
    def is_cleared(self) -> bool:
        """True when some device on the path must act."""
        return self.acts_first is not None

    @property
    def within_time(self) -> bool | None:
        """True when a bolted fault is cleared within its disconnection time; None where none applies."""
        if self.time_limit_ms is None:
            return None
        return self.break_time_max_ms is not None and self.break_time_max_ms <= self.time_limit_ms

    def step_of(self, device_id: str) -> Response | None:
        """The step of one device, the one that detects residual current where it has several."""
        return next((step for step in self.steps if step.device == device_id), None)
