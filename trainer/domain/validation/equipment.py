"""Which facts belong to which kind of equipment, and which contradict each other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from trainer.domain.equipment import Equipment, EquipmentKind, NeutralEarthLink, Source, SourceKind
from trainer.domain.errors import Problem
from trainer.domain.validation.draft import Draft

_Kind = EquipmentKind
_INVERTERS: Final = frozenset({_Kind.PV_INVERTER, _Kind.BATTERY_INVERTER, _Kind.HYBRID_INVERTER})
_SOURCES_OF: Final = {
    _Kind.PV_INVERTER: (SourceKind.PV,),
    _Kind.BATTERY_INVERTER: (SourceKind.BATTERY,),
    _Kind.HYBRID_INVERTER: (SourceKind.HYBRID, SourceKind.PV, SourceKind.BATTERY),
    _Kind.CHARGER: (SourceKind.VEHICLE,),
    _Kind.OTHER: tuple(SourceKind),
}
_WITH_ARRAY: Final = frozenset({_Kind.PV_INVERTER, _Kind.HYBRID_INVERTER, _Kind.OTHER})
_WITH_BATTERY: Final = frozenset({_Kind.BATTERY_INVERTER, _Kind.HYBRID_INVERTER, _Kind.OTHER})


def equipment_problems(draft: Draft) -> Iterator[Problem]:
    """Every facet that is missing or out of place, and every contradiction within an item."""
    for path, item in draft.whole("equipment"):
        yield from _charger(path, item)
        yield from _source(path, item)
        yield from _stores(path, item)
        yield from _phases(path, item, draft)
        if item.maker_rcd_word is not None and item.maker_rcd_type is None:
            problem = "says how firmly a type is asked for, but maker_rcd_type names none"
            yield Problem(path=f"{path}.maker_rcd_word", value=item.maker_rcd_word.value, problem=problem)


def _charger(path: str, item: Equipment) -> Iterator[Problem]:
    if item.kind is _Kind.CHARGER and item.charger is None:
        problem = "missing: a charger needs a table charger (it may be empty where nothing is known)"
        yield Problem(path=f"{path}.charger", problem=problem)
    if item.kind is not _Kind.CHARGER and item.charger is not None:
        yield _out_of_place(path, "charger", item, (_Kind.CHARGER,))


def _source(path: str, item: Equipment) -> Iterator[Problem]:
    if item.source is None:
        if item.kind in _INVERTERS:
            problem = "missing: an inverter feeds the installation and needs a table source"
            yield Problem(path=f"{path}.source", problem=problem)
        return
    kinds = _SOURCES_OF.get(item.kind)
    if kinds is None:
        yield _out_of_place(path, "source", item, tuple(_SOURCES_OF))
    elif item.source.kind not in kinds:
        yield Problem(
            path=f"{path}.source.kind",
            value=item.source.kind.value,
            problem=f"is no source of a {item.kind}",
            possible=tuple(kind.value for kind in kinds),
        )
    yield from _island(f"{path}.source", item.source)


def _island(path: str, source: Source) -> Iterator[Problem]:
    if source.island:
        return
    linked = source.neutral_earth_link in (NeutralEarthLink.AUTOMATIC, NeutralEarthLink.FIXED)
    if source.neutral_earth_link is not None and linked:
        problem = "links neutral and earth in an island, but island is false"
        yield Problem(path=f"{path}.neutral_earth_link", value=source.neutral_earth_link.value, problem=problem)
    if source.island_fault_current_a is not None:
        problem = "stated although island is false"
        value = source.island_fault_current_a
        yield Problem(path=f"{path}.island_fault_current_a", value=value, problem=problem)


def _stores(path: str, item: Equipment) -> Iterator[Problem]:
    if item.pv_array is not None and item.kind not in _WITH_ARRAY:
        yield _out_of_place(path, "pv_array", item, sorted(_WITH_ARRAY))
    if item.battery is not None and item.kind not in _WITH_BATTERY:
        yield _out_of_place(path, "battery", item, sorted(_WITH_BATTERY))
    if item.pv_array is None or item.pv_array.string_fuse_rated_current_a is None:
        return
    if item.pv_array.strings_in_parallel == 1:
        problem = "a string fuse, but strings_in_parallel is 1"
        value = item.pv_array.string_fuse_rated_current_a
        yield Problem(path=f"{path}.pv_array.string_fuse_rated_current_a", value=value, problem=problem)


def _phases(path: str, item: Equipment, draft: Draft) -> Iterator[Problem]:
    circuit = draft.circuits.get(item.circuit)
    if circuit is not None and item.phases > circuit.phases:
        problem = f"circuit {circuit.id} has phases = {circuit.phases}"
        yield Problem(path=f"{path}.phases", value=item.phases, problem=problem)


def _out_of_place(path: str, name: str, item: Equipment, kinds: tuple[_Kind, ...] | list[_Kind]) -> Problem:
    return Problem(
        path=f"{path}.{name}",
        value=item.kind.value,
        problem=f"a {item.kind} has no table {name}; the kind must be one of these",
        possible=tuple(kind.value for kind in kinds),
    )
