"""Ratings and cables: the smallest of the goods on sale that satisfies every rule with a margin."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from enum import Enum

from trainer.domain.cables import Cable, Circuit
from trainer.domain.calculations.currents import final_circuit_current_a
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import within
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.ranges import protective_conductor_mm2, sizes
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Over, Rule
from trainer.domain.vocabulary import Outcome

SIZING_IDS = frozenset({"OC-01", "OC-02", "OC-04", "OC-05", "OC-06", "OC-08", "OC-09", "OC-10"})
SIZING_RULES: tuple[Rule, ...] = tuple(
    each for each in ALL_RULES if each.id in SIZING_IDS and each.over is Over.CIRCUITS
)
"""The rules that look at the cable of one circuit."""

_FOR_HOURS = frozenset({EquipmentKind.CHARGER, EquipmentKind.HEAT_PUMP})
"""Loads that warm their neighbours in the board: the board's declared factor counts for them."""

_SHORTER = 0.85
_TRIES = 6
_LEAST_M = 3.0
_LENGTHS_M = (0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0, 6.0, 8.0, 10.0)


class NoCableError(Exception):
    """No cable on sale serves a circuit as drawn: the draw has to be repeated."""


def settle(draft: Draft, limits: Limits) -> None:
    """Give every circuit its rating and the smallest cable that is right with a margin."""
    house = draft.house()
    for circuit in list(draft.circuits.values()):
        _settle_rating(draft, circuit, house, limits)
    house = draft.house()
    for circuit in list(draft.circuits.values()):
        draft.circuits[circuit.id] = sized(circuit, draft, house, limits)


def _settle_rating(draft: Draft, circuit: Circuit, house: Installation, limits: Limits) -> None:
    """The smallest usual rating that carries the design current within the maker's limits.

    ``house`` may hold other ratings: that of another circuit is no part of a design current.
    """
    way = draft.way(circuit.id)
    current, _ = final_circuit_current_a(house, circuit, limits)
    item = draft.equipment[circuit.id]
    if item.kind in _FOR_HOURS:
        current = round(current / (draft.boards[way.board].rated_diversity_factor or 1.0), 6)
    for rated in draft.origin[circuit.id].family.circuit.rated_currents_a:
        if within(current, rated) and _by_the_maker(item, rated):
            draft.devices[way.id] = replace(way, rated_current_a=rated)
            return
    raise NoCableError(f"{circuit.id}: no rating for {current} A")


def _by_the_maker(item: Equipment, rated_a: float) -> bool:
    most, least = item.maker_maximum_overcurrent_device_a, item.maker_minimum_circuit_current_a
    return (most is None or rated_a <= most) and (least is None or rated_a >= least)


def sized(circuit: Circuit, draft: Draft, house: Installation, limits: Limits) -> Circuit:
    """The circuit with its cable. *Raises* NoCableError.

    A size that only lies too near to a limit is tried at other lengths before a larger one is taken,
    so that nobody meets a cable that no electrician would have chosen.
    """
    for _ in range(_TRIES):
        for candidate in candidates(circuit, draft):
            for step in _LENGTHS_M:
                moved = _lengthened(candidate, step)
                state = _state(moved, house, limits)
                if state is _Fit.GOOD:
                    return moved
                if state is _Fit.FAILS and step == 0:
                    break
        circuit = _shortened(circuit)
    raise NoCableError(f"{circuit.id}: no cable")


class _Fit(Enum):
    """How a cable stands to the rules: it complies with a margin, without one, or not at all."""

    GOOD = "good"
    ON_THE_EDGE = "on the edge"
    FAILS = "fails"


def _state(circuit: Circuit, house: Installation, limits: Limits) -> _Fit:
    near = False
    for rule in SIZING_RULES:
        verdict = rule.judge(circuit, house, limits)
        if verdict is None:
            continue
        if verdict.outcome is not Outcome.COMPLIES:
            return _Fit.FAILS
        near = near or on_the_edge(rule.id, verdict)
    return _Fit.ON_THE_EDGE if near else _Fit.GOOD


def at_other_lengths(circuit: Circuit, house: Installation, limits: Limits) -> Iterator[Circuit]:
    """The circuit with its cable a little longer or shorter, where that is right with a margin."""
    for step in _LENGTHS_M[1:]:
        moved = _lengthened(circuit, step)
        if _state(moved, house, limits) is _Fit.GOOD:
            yield moved


def _lengthened(circuit: Circuit, step_m: float) -> Circuit:
    cable = cable_of(circuit)
    return (
        replace(circuit, cable=replace(cable, length_m=max(_LEAST_M, cable.length_m + step_m))) if step_m else circuit
    )


def candidates(circuit: Circuit, draft: Draft) -> Iterator[Circuit]:
    """The circuit with each cross-section in which its cable is made, the smallest that is usual first.

    A scenario about the size of a cable starts from the smallest that is made.
    """
    wiring = draft.data.wirings[draft.wiring[circuit.id]]
    plan = draft.plan
    about_the_cable = circuit.id == plan.subject.work.role and "cable" in plan.focus.decisions
    usual = 0.0 if about_the_cable else draft.origin[circuit.id].family.circuit.usual_mm2
    for size in sizes(wiring.type, max(wiring.smallest_mm2, usual)):
        yield with_size(circuit, size)


def with_size(circuit: Circuit, size_mm2: float) -> Circuit:
    """The circuit with another cross-section and the protective conductor that comes with it."""
    cable = cable_of(circuit)
    earth = protective_conductor_mm2(cable.type, size_mm2)
    return replace(circuit, cable=replace(cable, cross_section_mm2=size_mm2, protective_conductor_mm2=earth))


def cable_of(circuit: Circuit) -> Cable:
    """The cable that the generator gave to a circuit."""
    return known(circuit.cable)


def _shortened(circuit: Circuit) -> Circuit:
    cable = cable_of(circuit)
    return replace(circuit, cable=replace(cable, length_m=max(_LEAST_M, float(math.floor(cable.length_m * _SHORTER)))))
