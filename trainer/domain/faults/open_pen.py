"""A broken PEN conductor: exposed parts take up a voltage that no residual current device sees."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.equipment import ChargerEarthing, Equipment, SensesOpenPen
from trainer.domain.faults.guards import inner_id
from trainer.domain.faults.order import ending_of
from trainer.domain.faults.path import Path, mains_path
from trainer.domain.faults.walk import FaultWalk, Mode, Note, Place, WalkKind
from trainer.domain.faults.walker import Walker
from trainer.domain.installation import Installation
from trainer.domain.physics.classification import ResidualClass
from trainer.domain.physics.responses import Function, Reason, ResidualCurrent, Response, TripVerdict
from trainer.domain.vocabulary import EarthingSystem, FrontEnd, Location, RcdType

_OWN_EARTH = frozenset({ChargerEarthing.OWN_TT_ELECTRODE, ChargerEarthing.ELECTRICAL_SEPARATION})
_SENSES = frozenset({SensesOpenPen.PROTECTIVE_CONDUCTOR, SensesOpenPen.VOLTAGE, SensesOpenPen.EQUIVALENT})
_MA_PER_A = 1000.0
_MS_PER_S = 1000.0


def open_pen_walks(walker: Walker) -> Iterator[FaultWalk]:
    """A person outdoors touches exposed parts of each item of equipment while the PEN conductor is open."""
    if walker.house.supply.earthing_system is not EarthingSystem.TN_C_S:
        return
    for item in walker.house.equipment.values():
        if item.circuit in walker.house.circuits and _is_touched_outdoors(item):
            yield _walk(walker, item)


def _is_touched_outdoors(item: Equipment) -> bool:
    """True for equipment whose exposed parts meet the installation's earth and a person on the ground."""
    charger = item.charger
    if charger is None:
        return item.location is Location.OUTDOORS
    return charger.earthing not in _OWN_EARTH and charger.charges_outdoors is not False


def open_pen_voltage_v(house: Installation, item: Equipment, walker: Walker) -> float:
    """The voltage of the exposed parts against earth with one line loaded, the worst balance.

    Without an electrode all of it: Cmax U0. With an electrode RA, and a load that draws I at U0:
    V = Cmax U0 I RA / (U0 + I RA), after the single-phase case of BS 7671 Annex A722.
    """
    nominal_v = house.supply.nominal_voltage_to_earth_v
    highest_v = nominal_v * walker.limits.charger.highest_voltage_factor.value
    charger = item.charger
    if charger is None or charger.earthing is not ChargerEarthing.ADDITIONAL_ELECTRODE:
        return highest_v
    electrode_ohm = charger.electrode_resistance_ohm
    load_a = house.stated_maximum_demand_a or house.supply.fuse_rated_current_a
    if electrode_ohm is None or load_a is None:
        return highest_v
    return highest_v * load_a * electrode_ohm / (nominal_v + load_a * electrode_ohm)


def _walk(walker: Walker, item: Equipment) -> FaultWalk:
    circuit = walker.house.circuits[item.circuit]
    path = mains_path(walker.house, circuit)
    voltage_v = open_pen_voltage_v(walker.house, item, walker)
    current = _touch_current(voltage_v / walker.limits.devices.faults["contact_resistance"].value * _MA_PER_A)
    steps = tuple(_steps(walker, item, path))
    ending = ending_of(walker.cuts, path, steps, walker.selective)
    notes = [Note.NO_RESIDUAL_CURRENT]
    if ending.acts_first is not None:
        notes.append(Note.PEN_DETECTION_OPENS)
    return FaultWalk(
        kind=WalkKind.CONTACT,
        mode=Mode.OPEN_PEN,
        place=Place(circuit=circuit.id, equipment=item.id, front_end=FrontEnd.RESISTIVE),
        current=current,
        steps=steps,
        acts_first=ending.acts_first,
        break_time_max_ms=ending.break_time_max_ms,
        time_limit_ms=None,
        goes_dark=(circuit.id,) if ending.acts_first is not None else (),
        may_go_dark=(),
        stays_live=tuple(each for each in ending.stays_live if ending.acts_first is None or each != circuit.id),
        touch_voltage_v=voltage_v,
        notes=tuple(notes),
    )


def _touch_current(rms_ma: float) -> ResidualCurrent:
    peak_ma = rms_ma * 2.0**0.5
    return ResidualCurrent(
        residual_class=ResidualClass.ALTERNATING,
        least_type=RcdType.AC,
        rms_ma=rms_ma,
        mean_ma=0.0,
        minimum_ma=-peak_ma,
        maximum_ma=peak_ma,
        zero_interval_deg=0.0,
    )


def _steps(walker: Walker, item: Equipment, path: Path) -> Iterator[Response]:
    """The charger's detection acts; residual current devices see line and neutral in balance."""
    charger = item.charger
    if charger is not None and charger.open_pen in _SENSES:
        within_s = charger.open_pen_disconnects_within_s
        yield Response(
            device=inner_id(item, "open_pen"),
            function=Function.OPEN_PEN,
            verdict=TripVerdict.MUST,
            reason=Reason.ABOVE_LIMIT,
            residual_current_ma=0.0,
            most_ms=None if within_s is None else within_s * _MS_PER_S,
        )
    for device in path.devices:
        if device.detects_residual_current:
            yield Response(
                device=device.id,
                verdict=TripVerdict.MUST_NOT,
                reason=Reason.NO_RESIDUAL_CURRENT,
                residual_current_ma=0.0,
                standing_dc_ma=walker.standing.at(device).dc_ma,
            )
