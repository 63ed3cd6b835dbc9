"""Each value by itself: plausible numbers, usable texts and ids."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any, Final

from trainer.domain.answers.decisions import names
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.errors import Problem
from trainer.domain.validation.draft import Draft
from trainer.domain.validation.plausible import Range, implausible, range_of
from trainer.domain.vocabulary import EarthingSystem

TEXT_MAXIMUM: Final = 500
ID_PATTERN: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")

# In TN the loop is metal throughout; only in TT does it pass through the soil.
_LOOPS_TN: Final = {
    "external_earth_fault_loop_impedance_ohm": Range(minimum=0.001, maximum=20),
    "measured_earth_fault_loop_impedance_ohm": Range(minimum=0.001, maximum=50),
}

# Kinds that nobody makes so small: below these the number is one of kilowatts.
_POWER_LEAST_W: Final = {
    EquipmentKind.CHARGER: 1000.0,
    EquipmentKind.HEAT_PUMP: 100.0,
    EquipmentKind.PV_INVERTER: 100.0,
    EquipmentKind.BATTERY_INVERTER: 100.0,
    EquipmentKind.HYBRID_INVERTER: 100.0,
    EquipmentKind.HOB: 500.0,
    EquipmentKind.OVEN: 500.0,
    EquipmentKind.SHOWER: 1000.0,
    EquipmentKind.WATER_HEATER: 200.0,
    EquipmentKind.WASHING_MACHINE: 100.0,
    EquipmentKind.LIFT: 500.0,
}


def value_problems(draft: Draft) -> Iterator[Problem]:
    """Every number that is implausible and every text that cannot be used."""
    if title := text_problem("title", draft.title):
        yield title
    for path, record in draft.records():
        yield from _record(path, record, draft)
    demand = draft.stated_maximum_demand_a
    if demand is not None:
        yield from _number("stated_maximum_demand_a", "stated_maximum_demand_a", demand, None, draft)


def text_problem(path: str, text: str) -> Problem | None:
    """The problem of a text that is too long or holds signs that no paper can show, else None."""
    if len(text) > TEXT_MAXIMUM:
        return Problem(path=path, value=f"{text[:40]}...", problem=f"longer than {TEXT_MAXIMUM} characters")
    if not text.isprintable():
        return Problem(path=path, value=ascii(text), problem="holds line breaks, control or broken characters")
    return None


def _record(path: str, record: Any, draft: Draft) -> Iterator[Problem]:
    for name in names(type(record)):
        value = getattr(record, name)
        if value is None or isinstance(value, bool):
            continue
        if isinstance(value, str):
            yield from _text(f"{path}.{name}", name, value)
        elif isinstance(value, int | float):
            yield from _number(f"{path}.{name}", name, value, record, draft)
        elif dataclasses.is_dataclass(value):
            yield from _record(f"{path}.{name}", value, draft)


def id_problem(path: str, name: str) -> Problem | None:
    """The problem of an id that no path could name, else None."""
    if ID_PATTERN.fullmatch(name):
        return None
    return Problem(
        path=path,
        value=ascii(name[:70]),
        problem="an id is made of at most 64 letters, digits, - and _, and starts with a letter or digit",
    )


def _text(path: str, name: str, value: str) -> Iterator[Problem]:
    problem = id_problem(path, value) if name == "id" else text_problem(path, value)
    if problem is not None:
        yield problem


def _number(path: str, name: str, value: float, record: Any, draft: Draft) -> Iterator[Problem]:
    problem = implausible(path, name, value, _range(name, record, draft))
    if problem is not None:
        yield problem
    elif name == "phases" and value == 2:
        yield Problem(path=path, value=value, problem="must be one or three phases", possible=("1", "3"))


def _range(name: str, record: Any, draft: Draft) -> Range:
    if name in _LOOPS_TN and _is_tn(draft):
        return _LOOPS_TN[name]
    if name == "rated_power_w" and isinstance(record, Equipment):
        usual = range_of(name)
        return dataclasses.replace(usual, minimum=_POWER_LEAST_W.get(record.kind, usual.minimum))
    return range_of(name)


def _is_tn(draft: Draft) -> bool:
    if draft.supply is None:
        return False
    system = draft.supply.earthing_system or draft.supply.apparent_earthing_system
    return system in (EarthingSystem.TN_S, EarthingSystem.TN_C_S)
