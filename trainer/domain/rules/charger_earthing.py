"""Earthing of charging points where the supply's PEN conductor may break."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.domain.cables import Circuit
from trainer.domain.calculations.currents import circuit_current_a, drawn_current_a, loads_of
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.open_pen import (
    LineCurrents,
    additional_electrode_ohm,
    credible_load_states,
    neutral_current_a,
    open_pen_voltage_v,
    permitted_neutral_current_a,
    single_phase_electrode_ohm,
    sum_of_currents_a,
)
from trainer.domain.equipment import Charger, ChargerEarthing, Equipment, SensesOpenPen
from trainer.domain.findings import Term, Verdict, at_most, holds, total, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import circuit_of, circuit_path, equipment_path, system_of
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem, Location, Outcome

_LINES = ("L1", "L2", "L3")

_SENSED_BY = {
    ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR: SensesOpenPen.PROTECTIVE_CONDUCTOR,
    ChargerEarthing.DEVICE_SENSING_VOLTAGE: SensesOpenPen.VOLTAGE,
    ChargerEarthing.EQUIVALENT_DEVICE: SensesOpenPen.EQUIVALENT,
}
_SINGLE_PHASE_ONLY = frozenset({ChargerEarthing.DEVICE_SENSING_VOLTAGE, ChargerEarthing.EQUIVALENT_DEVICE})
_OUT_OF_PME = frozenset({ChargerEarthing.OWN_TT_ELECTRODE, ChargerEarthing.ELECTRICAL_SEPARATION})
_BY_LOAD = frozenset({ChargerEarthing.BALANCED_THREE_PHASE, ChargerEarthing.ADDITIONAL_ELECTRODE})
_MAY_BE_BY_LOAD = frozenset({None, *_BY_LOAD})


def _charges_outdoors(item: Equipment, charger: Charger) -> bool:
    """True when a vehicle is, or is likely to be, charged outdoors. *Raises* MissingFactError."""
    if item.location is Location.OUTDOORS or charger.charges_outdoors:
        return True
    if charger.charges_outdoors is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.charges_outdoors")
    return False


def _under_pme_outdoors(item: Equipment, charger: Charger, house: Installation) -> bool:
    """True when the restriction on PME applies. *Raises* MissingFactError."""
    return system_of(house) is EarthingSystem.TN_C_S and _charges_outdoors(item, charger)


def _earthing_of(item: Equipment, charger: Charger) -> ChargerEarthing:
    if charger.earthing is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.earthing")
    return charger.earthing


def _circuit_load_a(house: Installation, circuit: Circuit) -> float:
    """The load of one circuit by its statement or its equipment, never by its device. *Raises* MissingFactError."""
    if circuit.design_current_a is not None:
        return circuit.design_current_a
    items = loads_of(house, circuit)
    if not items:
        raise MissingFactError(f"{circuit_path(circuit)}.design_current_a")
    voltage = house.supply.nominal_voltage_to_earth_v
    return total(circuit_current_a(each, voltage) for each in items)


def _on_lines(parts: Sequence[tuple[str | None, float]]) -> LineCurrents:
    """Currents gathered by line; None stands for all three."""
    sums = [total(current for line, current in parts if line in (None, each)) for each in _LINES]
    return LineCurrents(*sums)


def _worst_states(item: Equipment, house: Installation, limits: Limits) -> list[LineCurrents]:
    """All credible load states while a vehicle charges at this point. *Raises* MissingFactError."""
    voltage = house.supply.nominal_voltage_to_earth_v
    own = circuit_of(house, item)
    charging = [(None if item.phases > 1 else own.line, drawn_current_a(item, voltage))]
    others: list[tuple[str | None, float]] = []
    sources: list[tuple[str | None, float]] = []
    for circuit in house.circuits.values():
        source = next((each.source for each in house.equipment_on(circuit) if each.source is not None), None)
        if source is not None:
            sources.append((None if circuit.phases > 1 else circuit.line, source.rated_current_a))
        elif circuit.id != own.id and circuit.phases == 1 and house.is_final(circuit):
            others.append((circuit.line, _circuit_load_a(house, circuit)))
    base = limits.charger.base_load_per_line_a.value
    return list(credible_load_states(_on_lines(charging), _on_lines(others), _on_lines(sources), base))


def _highest_voltage_v(house: Installation, limits: Limits) -> float:
    return limits.charger.highest_voltage_factor.value * house.supply.nominal_voltage_to_earth_v


def _terms(lines: LineCurrents) -> tuple[Term, ...]:
    named = [Term(name, current, "A") for name, current in zip(_LINES, lines, strict=True)]
    return (*named, Term("neutral_current", neutral_current_a(lines), "A"))


@rule("EV-04", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO08", "LO09"))
def charger_not_earthed_by_pme_alone(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A charging point used outdoors takes its earth from PME only by a route that an open PEN leaves safe.

    Why: when the PEN breaks, everything earthed to it rises towards mains voltage, and a car's body
    is touched by somebody who stands on the ground.
    Remedy: detection that disconnects live conductors and earth, an own electrode (TT) or separation;
    with three phases balance or an additional electrode where the figures allow.
    Assumes: the worst credible state, a vehicle at full current and on each line the other circuits
    all on or down to a base load, sources on or off; balanced three-phase loads off. An additional
    electrode is judged by the rules on its resistance. A silent sheet detects nothing.
    Formula: Cmax * U0 * Im / (I1 + I2 + I3) <= 70 V
    """
    charger = item.charger
    if charger is None:
        return None
    try:
        if system_of(house) is not EarthingSystem.TN_C_S:
            return holds(True, value=house.supply.earthing_system, case="not_pme")
        if not _charges_outdoors(item, charger):
            return holds(True, case="indoors_only")
        return _by_route(item, charger, house, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _by_route(item: Equipment, charger: Charger, house: Installation, limits: Limits) -> Verdict:
    route = _earthing_of(item, charger)
    if route is ChargerEarthing.INSTALLATION_EARTH:
        return holds(False, value=route, case="installation_earth")
    if route in _OUT_OF_PME:
        return holds(True, value=route, case=route)
    if route is ChargerEarthing.BALANCED_THREE_PHASE:
        return _by_balance(item, house, limits)
    if route is ChargerEarthing.ADDITIONAL_ELECTRODE:
        return holds(True, value=route, case=route)
    return _by_detection(item, charger, route, limits)


def _by_balance(item: Equipment, house: Installation, limits: Limits) -> Verdict:
    """Route (i): three phases, and a voltage within the limit in the worst state."""
    if house.supply.phases == 1:
        return holds(False, value=house.supply.phases, case="not_three_phase")
    highest = _highest_voltage_v(house, limits)
    worst = max(_worst_states(item, house, limits), key=lambda lines: open_pen_voltage_v(lines, highest))
    voltage = open_pen_voltage_v(worst, highest)
    limit = limits.charger.open_pen_voltage_v
    if math.isinf(voltage):
        return holds(False, limit=limit.value, unit=limit.unit, terms=lambda: _terms(worst), case="balance_undefined")
    return at_most(voltage, limit, terms=lambda: _terms(worst), case="balanced_three_phase")


def _by_detection(item: Equipment, charger: Charger, route: ChargerEarthing, limits: Limits) -> Verdict:
    """Routes (iii) to (v): the sheet names the detection that the route asks for, and its time."""
    path = f"{equipment_path(item)}.charger"
    if route in _SINGLE_PHASE_ONLY and item.phases > 1:
        return holds(False, value=item.phases, unit="phases", case="single_phase_route_only")
    if charger.open_pen is None:
        raise MissingFactError(f"{path}.open_pen")
    if charger.open_pen in (SensesOpenPen.SILENT, SensesOpenPen.NONE):
        case = "sheet_silent" if charger.open_pen is SensesOpenPen.SILENT else "sheet_names_none"
        return holds(False, value=charger.open_pen, limit=_SENSED_BY[route], case=case)
    if charger.open_pen is not _SENSED_BY[route]:
        return holds(False, value=charger.open_pen, limit=_SENSED_BY[route], case="other_detection")
    if charger.open_pen_disconnects_within_s is None:
        raise MissingFactError(f"{path}.open_pen_disconnects_within_s")
    return at_most(
        charger.open_pen_disconnects_within_s, limits.charger.open_pen_disconnects_within_s, case="detection_in_time"
    )


@rule("EV-05", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO10",))
def neutral_current_in_the_worst_state(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """On a three-phase site the neutral current of the worst load state stays within what 70 V allows.

    Why: with the PEN open it is the unbalance, not the load, that lifts the earthing terminal.
    Remedy: spread the charging points over the lines; an additional electrode for what remains.
    Assumes: the load states of the rule on PME. This is the working of the routes by balance and by
    electrode; whether the route holds is judged by the rules on those.
    Formula: Im = sqrt((I1 - (I2 + I3)/2)^2 + (0.866 * (I2 - I3))^2) <= 70 V * (I1 + I2 + I3) / (Cmax * U0)
    """
    charger = item.charger
    if charger is None or house.supply.phases == 1 or charger.earthing not in _MAY_BE_BY_LOAD:
        return None
    try:
        if not _under_pme_outdoors(item, charger, house) or _earthing_of(item, charger) not in _BY_LOAD:
            return None
        states = _worst_states(item, house, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    highest, limit_v = _highest_voltage_v(house, limits), limits.charger.open_pen_voltage_v.value
    worst = max(states, key=lambda lines: open_pen_voltage_v(lines, highest))
    return at_most(
        neutral_current_a(worst),
        permitted_neutral_current_a(worst, highest, limit_v),
        unit="A",
        terms=lambda: (*_terms(worst), Term("sum_of_currents", sum_of_currents_a(worst), "A")),
        case="worst_load_state",
        otherwise=Outcome.ADVICE,
    )


def _by_electrode(item: Equipment, charger: Charger, house: Installation) -> float | None:
    """The resistance of the additional electrode; None where that route is not taken. *Raises* MissingFactError."""
    if charger.earthing not in (None, ChargerEarthing.ADDITIONAL_ELECTRODE):
        return None
    if not _under_pme_outdoors(item, charger, house):
        return None
    if charger.earthing is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.earthing")
    if charger.electrode_resistance_ohm is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.electrode_resistance_ohm")
    return charger.electrode_resistance_ohm


@rule("EV-06", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO11", "LO10"))
def additional_electrode_on_three_phases(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """An additional electrode of a three-phase site keeps the earthing terminal within 70 V of Earth.

    Why: with the PEN open the electrode carries the unbalance; the lower its resistance, the lower
    the voltage on every case and car.
    Remedy: a better electrode, better balance, or another route.
    Assumes: the load states of the rule on PME; the worst of them decides. A result that is negative,
    undefined or above 200 ohm is replaced by 200 ohm.
    Formula: RA <= 70 * U0 / (Cmax * U0 * Im - 70 * (I1 + I2 + I3))
    """
    charger = item.charger
    if charger is None or house.supply.phases == 1:
        return None
    try:
        resistance = _by_electrode(item, charger, house)
        if resistance is None:
            return None
        states = _worst_states(item, house, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    nominal, highest = house.supply.nominal_voltage_to_earth_v, _highest_voltage_v(house, limits)
    limit_v = limits.charger.open_pen_voltage_v.value
    worst = min(states, key=lambda lines: additional_electrode_ohm(lines, nominal, highest, limit_v))
    allowed = min(additional_electrode_ohm(worst, nominal, highest, limit_v), limits.charger.electrode_ohm.value)
    return at_most(resistance, allowed, unit="ohm", terms=lambda: _terms(worst), case="additional_electrode")


@rule("EV-07", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO11",))
def additional_electrode_on_one_phase(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """An additional electrode of a single-phase site keeps the earthing terminal within 70 V of Earth.

    Why: with one line nothing balances: the whole current of the house goes through the electrode.
    Remedy: another route; the figure shows why this one is rarely practicable.
    Assumes: the highest current of the whole installation is its stated maximum demand, or the
    rating of the service fuse where none is stated.
    Formula: RA <= 70 * U0 / (I * (Cmax * U0 - 70))
    """
    charger = item.charger
    if charger is None or house.supply.phases > 1:
        return None
    try:
        resistance = _by_electrode(item, charger, house)
        if resistance is None:
            return None
        current = _highest_current_a(house)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    nominal, highest = house.supply.nominal_voltage_to_earth_v, _highest_voltage_v(house, limits)
    allowed = single_phase_electrode_ohm(current, nominal, highest, limits.charger.open_pen_voltage_v.value)
    return at_most(
        resistance,
        min(allowed, limits.charger.electrode_ohm.value),
        unit="ohm",
        terms=lambda: (Term("highest_current", current, "A"),),
        case="additional_electrode",
    )


def _highest_current_a(house: Installation) -> float:
    if house.stated_maximum_demand_a is not None:
        return house.stated_maximum_demand_a
    if house.supply.fuse_rated_current_a is None:
        raise MissingFactError("stated_maximum_demand_a")
    return house.supply.fuse_rated_current_a


RULES: tuple[Rule, ...] = (
    charger_not_earthed_by_pme_alone,
    neutral_current_in_the_worst_state,
    additional_electrode_on_three_phases,
    additional_electrode_on_one_phase,
)
