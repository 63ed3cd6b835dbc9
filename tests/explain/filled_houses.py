"""Random installations whose every optional fact is filled in at random, so that rules have much to say.

Values come from short lists by the unit in the name of the field; they are meant to reach every case of the
rules, not to make sense together.
"""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from random import Random
from typing import Any, Union, get_args, get_origin, get_type_hints

from tests.explain.houses import random_house
from trainer.domain.equipment import (
    Battery,
    BuiltInResidualDevice,
    Charger,
    EquipmentKind,
    Motor,
    PvArray,
    Source,
    SourceKind,
)
from trainer.domain.installation import Installation
from trainer.domain.notices import KNOWN_NOTICES, GenerationRoute, LoadRoute
from trainer.domain.vocabulary import Location, RcdType

# By field name where the unit is too coarse, else by the ending.
_BY_NAME: dict[str, tuple[Any, ...]] = {
    "standard": ("BS EN 61009-1", "BS EN 61008-1", "BS EN 62955", "in-house"),
    "fuse_standard": ("BS 88-3",),
    "load_route": tuple(LoadRoute),
    "generation_route": tuple(GenerationRoute),
    "frame_earthing": ("bonded", "cpc", "functional", "none"),
    "maker_curve": ("B", "C", "D"),
    "socket_outlet_rated_current_a": (13.0, 32.0, 63.0),
    "rated_diversity_factor": (0.6, 0.8, 1.0),
    "electrode_resistance_ohm": (1.0, 80.0, 300.0, 2500.0),
    "voltage_rise_percent": (0.4, 1.6),
    "protective_conductor_current_ma": (0.2, 3.0, 12.0),
    "standing_dc_ma": (0.0, 2.0, 6.0),
    "year_installed": (2009, 2023),
    "points": (1, 2),
    "modules_in_series": (6, 14),
    "strings_in_parallel": (1, 2, 4),
    "modules": (1, 2, 3),
    "ways": (4, 12),
    "voltage_coefficient_percent_per_k": (-0.3,),
    "minimum_temperature_c": (-15.0,),
    "open_circuit_voltage_v": (40.0,),
    "short_circuit_current_a": (10.0,),
    "maximum_input_voltage_v": (500.0, 1000.0),
    "module_maximum_overcurrent_protection_a": (15.0, 20.0),
    "string_fuse_rated_current_a": (10.0, 16.0, 32.0),
    "open_pen_disconnects_within_s": (3.0, 5.0, 8.0),
    "starting_current_a": (40.0, 120.0),
    "load_limit_a": (16.0, 32.0),
    "lead_length_m": (0.4, 0.8, 1.4),
    "external_earth_fault_loop_impedance_ohm": (0.2, 0.8, 4.0),
    "measured_break_time_ms": (25.0, 280.0, 420.0, 600.0),
    "measured_insulation_mohm": (0.4, 200.0),
    "measured_earth_fault_loop_impedance_ohm": (0.5, 1.2, 5.0),
    "conditional_rating_ka": (10.0, 16.0),
    "line": ("L1", "L2", "L3"),
}
_BY_ENDING: dict[str, tuple[Any, ...]] = {
    "_ma": (6.0, 10.0, 30.0, 100.0),
    "_ka": (1.0, 6.0, 10.0),
    "_a": (10.0, 16.0, 32.0, 63.0),
    "_mm2": (1.5, 4.0, 10.0, 16.0),
    "_mm": (30.0, 600.0),
    "_m": (0.5, 4.0),
    "_ohm": (0.2, 60.0),
    "_w": (2000.0, 7360.0),
    "_v": (1.0, 6.0),
    "_s": (0.2, 6.0),
    "_c": (70.0,),
}
_KEPT = frozenset(
    {"id", "circuit", "board", "fed_by", "label", "title", "way", "cable", "phases", "has_neutral", "_memory", "_tree"}
)


def filled_house(seed: int) -> Installation:
    """The random installation of that seed with its facts filled in."""
    return _Filler(seed).house(random_house(seed))


class _Filler:
    def __init__(self, seed: int) -> None:
        self.random = Random(seed + 1_000_000)

    def house(self, house: Installation) -> Installation:
        changed = {name: self.record(getattr(house, name), 0.8) for name in ("supply", "earthing", "surge", "network")}
        for name in ("boards", "devices", "circuits"):
            changed[name] = {key: self.record(each, 0.7) for key, each in getattr(house, name).items()}
        changed["circuits"] = {
            key: replace(each, cable=each.cable and self.cable(each.cable)) for key, each in changed["circuits"].items()
        }
        changed["equipment"] = {key: self.equipment(each) for key, each in house.equipment.items()}
        notices = frozenset(note for note in sorted(KNOWN_NOTICES) if self.random.random() < 0.6)
        return replace(
            house, notices=notices, stated_maximum_demand_a=self.random.choice((None, 50.0, 90.0)), **changed
        )

    def cable(self, cable: Any) -> Any:
        return self.record(cable, 0.4)

    def equipment(self, item: Any) -> Any:
        item = self.record(item, 0.7)
        charger = item.kind is EquipmentKind.CHARGER or item.charger is not None
        source = item.source or item.kind in (
            EquipmentKind.PV_INVERTER,
            EquipmentKind.BATTERY_INVERTER,
            EquipmentKind.HYBRID_INVERTER,
        )
        parts = {
            "charger": self.record(item.charger or Charger(), 0.85) if charger else None,
            "source": self.record(item.source or self.source(), 0.85) if source else None,
            "pv_array": self.record(self.array(), 0.85) if item.kind is EquipmentKind.PV_INVERTER else None,
            "battery": self.record(Battery(location=Location.LOFT), 0.85) if item.battery else None,
            "motor": Motor(direct_on_line=self.random.random() < 0.5, starting_current_a=40.0),
            "built_in_rcd": self.built_in() if charger and self.random.random() < 0.3 else None,
        }
        return replace(item, **parts)

    def source(self) -> Source:
        return Source(kind=self.random.choice(tuple(SourceKind)), rated_current_a=16.0)

    def array(self) -> PvArray:
        return PvArray(
            modules_in_series=10, strings_in_parallel=2, open_circuit_voltage_v=40.0, short_circuit_current_a=10.0
        )

    def built_in(self) -> BuiltInResidualDevice:
        pick = self.random.choice
        return BuiltInResidualDevice(
            standard=pick(("BS EN 61008-1", "in-house")),
            rcd_type=pick(tuple(RcdType)),
            rated_residual_operating_current_ma=pick((30.0, 100.0)),
            opens_all_live=pick((True, False)),
        )

    def record(self, record: Any, share: float) -> Any:
        hints = get_type_hints(type(record))
        changed = {}
        for field in fields(record):
            if field.name in _KEPT or self.random.random() > share:
                continue
            values = _values(field.name, hints[field.name])
            if values:
                changed[field.name] = self.random.choice(values)
        return replace(record, **changed)


def _values(name: str, hint: Any) -> tuple[Any, ...]:
    if name in _BY_NAME:
        return _BY_NAME[name]
    plain = _without_none(hint)
    if plain is bool:
        return (True, False)
    if isinstance(plain, type) and issubclass(plain, Enum):
        return tuple(plain)
    if plain is float:
        for ending, values in _BY_ENDING.items():
            if name.endswith(ending):
                return values
    if is_dataclass(plain) or plain is Mapping:
        return ()
    return ()


def _without_none(hint: Any) -> Any:
    if get_origin(hint) in (Union, types.UnionType):
        rest = [each for each in get_args(hint) if each is not type(None)]
        return rest[0] if len(rest) == 1 else hint
    return hint
