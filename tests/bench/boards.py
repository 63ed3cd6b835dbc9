"""A board of eight circuits in which everything about each way is open: more than 10^20 proposals."""

from __future__ import annotations

from tests.domain.houses import cable, charger, circuit, heat_pump, house, item, rcbo, selective
from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.equipment import Equipment
from trainer.domain.installation import Installation
from trainer.domain.notices import Notice
from trainer.domain.vocabulary import Curve, EarthingSystem, FrontEnd, RcdType, ResidualDelay

WAYS = tuple(f"way{number}" for number in range(1, 9))
CABLES = ((2.5, 1.5), (4.0, 1.5), (6.0, 2.5), (10.0, 4.0))


def board(ways: tuple[str, ...] = WAYS) -> Installation:
    """A TN-S house: a selective incomer, then an RCBO for each circuit; chargers, heat pumps, heaters."""
    loads = (_charger, _heat_pump, item)
    records = [selective(rating_ma=300.0)]
    for number, way in enumerate(ways):
        records += [rcbo(way, fed_by="main_switch"), circuit(f"c-{way}", way, cable=cable(cross_section_mm2=6.0))]
        records.append(loads[number % 3](f"e-{way}", f"c-{way}"))
    return house(
        *records,
        system=EarthingSystem.TN_S,
        stated_maximum_demand_a=60.0,
        notices=frozenset(Notice),
    )


def _charger(name: str, on: str) -> Equipment:
    return charger(name, on, rated_current_a=10.0)


def _heat_pump(name: str, on: str) -> Equipment:
    return heat_pump(name, on, FrontEnd.BRIDGE_CAPACITOR)


def open_decisions(ways: tuple[str, ...] = WAYS) -> tuple[Decision, ...]:
    """Type, sensitivity with delay, poles, curve, rating and cable of each way, and the incomer's type."""
    decisions = [_decision("incomer.type", "devices.incomer.rcd_type", list(RcdType))]
    for way in ways:
        device = f"devices.{way}"
        decisions += [
            _decision(f"{way}.type", f"{device}.rcd_type", list(RcdType)),
            _decision(f"{way}.sensitivity", f"{device}.rated_residual_operating_current_ma", [10.0, 30.0, 100.0]),
            _decision(f"{way}.delay", f"{device}.residual_delay", list(ResidualDelay)),
            _decision(f"{way}.poles", f"{device}.poles", [1, 2]),
            _decision(f"{way}.curve", f"{device}.curve", list(Curve)),
            _decision(f"{way}.rating", f"{device}.rated_current_a", [16.0, 20.0, 32.0, 40.0]),
            _cable_decision(way),
        ]
    return tuple(decisions)


def _decision(name: str, path: str, values: list[object]) -> Decision:
    options = tuple(
        Option(id=str(value), label=str(value), edits=(Edit(path=path, value=value),), cost=number)
        for number, value in enumerate(values)
    )
    return Decision(id=name, subject=path.rpartition(".")[0], question=name, options=options)


def _cable_decision(way: str) -> Decision:
    path = f"circuits.c-{way}.cable"
    options = tuple(
        Option(
            id=f"{line:g}",
            label=f"{line:g} mm2",
            edits=(
                Edit(path=f"{path}.cross_section_mm2", value=line),
                Edit(path=f"{path}.protective_conductor_mm2", value=protective),
            ),
            cost=number,
        )
        for number, (line, protective) in enumerate(CABLES)
    )
    return Decision(id=f"{way}.cable", subject=path, question="cable", options=options)
