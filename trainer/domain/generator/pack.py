"""The pack of papers: everything that the learner must know, each fact on one paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from trainer.domain.answers.decisions import Decision
from trainer.domain.cables import Circuit
from trainer.domain.calculations.demand import maximum_demand_a
from trainer.domain.equipment import Equipment
from trainer.domain.generator.data_sheets import data_sheet
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.naming import lowered, thing_of
from trainer.domain.generator.offers import number
from trainer.domain.generator.survey_words import Words, board_value, cable_value, device_value, fed_from
from trainer.domain.limits import limits_for
from trainer.domain.tasks import Sheet, SheetKind, SheetRow
from trainer.domain.vocabulary import DEFAULT_EDITION, EarthingSystem


def pack_of(draft: Draft, decisions: Sequence[Decision]) -> tuple[Sheet, ...]:
    """Supply record, survey, then a data sheet for every item that has one."""
    words = Words(draft.data, frozenset(path for each in decisions for path in each.paths))
    return (
        _supply_record(draft, words),
        _survey(draft, words),
        *(data_sheet(draft, role) for role in draft.circuits if role in draft.papers),
    )


def with_remarks(pack: Sequence[Sheet], remarks: Sequence[str]) -> tuple[Sheet, ...]:
    """The same papers with remarks at the end of the survey, before the note that all of it is invented."""
    return tuple(
        replace(each, notes=(*each.notes[:-1], *remarks, each.notes[-1])) if each.id == _SURVEY else each
        for each in pack
    )


_SURVEY = "survey"


def _supply_record(draft: Draft, words: Words) -> Sheet:
    return Sheet(
        id="supply",
        title=draft.data.sheets.texts["sheets"]["supply_record"],
        kind=SheetKind.SUPPLY_RECORD,
        rows=tuple(_supply_rows(draft, words)),
        notes=(draft.data.sheets.texts["sheets"]["invented"],),
        subject="supply",
    )


def _supply_rows(draft: Draft, words: Words) -> Iterator[SheetRow]:
    text, supply, earthing = draft.data.sheets.texts["supply"], draft.supply, draft.earthing
    plan = draft.plan
    yield SheetRow(label=text["premises"], value=plan.archetype.label)
    yield SheetRow(label=text["built"], value=str(draft.facts["year_built"]))
    yield SheetRow(label=text["system"], value=text[known(supply.earthing_system).value])
    yield SheetRow(label=text["phases"], value=text["three" if supply.phases > 1 else "one"])
    yield SheetRow(label=text["voltage"], value=number(supply.nominal_voltage_to_earth_v), unit="V")
    if supply.external_earth_fault_loop_impedance_ohm is not None:
        yield SheetRow(label=text["ze"], value=f"{supply.external_earth_fault_loop_impedance_ohm:.2f}", unit="Ω")
    if supply.earthing_system is EarthingSystem.TT:
        yield SheetRow(label=text["electrode"], value=number(earthing.electrode_resistance_ohm or 0), unit="Ω")
    yield SheetRow(label=text["fault"], value=number(supply.prospective_fault_current_ka or 0), unit="kA")
    yield SheetRow(label=text["fuse"], value=f"{number(supply.fuse_rated_current_a or 0)} A, {supply.fuse_standard}")
    yield SheetRow(label=text["neutral"], value=number(supply.neutral_mm2 or 0), unit="mm²")
    yield SheetRow(label=text["looped"], value=text["yes" if supply.looped else "no"])
    yield SheetRow(label=text["adequate"], value=text["yes" if supply.declared_adequate else "no"])
    yield SheetRow(label=text["earthing_conductor"], value=number(earthing.earthing_conductor_mm2 or 0), unit="mm²")
    if words.is_open("earthing.main_bonding_mm2"):
        found = text["as_found"].format(value=draft.facts["bonding_found_mm2"])
        yield SheetRow(label=text["bonding"], value=found)
    else:
        yield SheetRow(label=text["bonding"], value=number(earthing.main_bonding_mm2 or 0), unit="mm²")
    yield SheetRow(label=text["extraneous"], value=text["yes" if earthing.extraneous_parts else "no"])
    demand = maximum_demand_a(draft.house(), draft.circuits.values(), limits_for(DEFAULT_EDITION))[0]
    yield SheetRow(label=text["demand"], value=number(round(demand, 1)), unit="A")


def _survey(draft: Draft, words: Words) -> Sheet:
    return Sheet(
        id=_SURVEY,
        title=draft.data.sheets.texts["sheets"]["survey"],
        kind=SheetKind.SURVEY,
        rows=(*_board_rows(draft, words), *_circuit_rows(draft, words), *_earth_rows(draft, words)),
        notes=(*_survey_notes(draft, words), draft.data.sheets.texts["sheets"]["invented"]),
        subject="installation",
    )


def _board_rows(draft: Draft, words: Words) -> Iterator[SheetRow]:
    for board in draft.boards.values():
        yield SheetRow(label=board.label, value=board_value(board, words))
        for device in draft.devices.values():
            if device.board == board.id and device.way is None:
                value = device_value(device, words) + _as_found(draft, device.id, words)
                yield SheetRow(label=device.label, value=value)


def _as_found(draft: Draft, device_id: str, words: Words) -> str:
    """The type that was found in the board, where it is open whether it stays."""
    found = draft.found.get(device_id)
    if found is None or not words.is_open(f"devices.{device_id}.rcd_type"):
        return ""
    return words.say("as_found", type=found.value)


def _circuit_rows(draft: Draft, words: Words) -> Iterator[SheetRow]:
    places = {board: number for number, board in enumerate(draft.boards)}
    for circuit in sorted(draft.circuits.values(), key=lambda each: _place(draft, each, places)):
        way = draft.way(circuit.id)
        key = "way" if way.board == "main" else "way_elsewhere"
        board = draft.boards[way.board].label
        label = words.say(key, board=board, way=str(way.way), label=circuit.label)
        value = device_value(way, words) + fed_from(way, draft.devices, words) + _noticed(draft, circuit.id, words)
        yield SheetRow(label=label, value=value)
        wiring = draft.data.wirings[draft.wiring[circuit.id]]
        yield SheetRow(label=words.texts["cable"], value=cable_value(circuit, wiring, words, lines=draft.supply.phases))
        load = "; ".join((*_load(draft, circuit.id, words), *_circuit_facts(circuit, words)))
        if load:
            yield SheetRow(label=words.texts["load"], value=load)


def _noticed(draft: Draft, role: str, words: Words) -> str:
    """An open property of an existing circuit as it was found."""
    found = draft.noticed.get(role)
    return "" if found is None else words.say("found", label=lowered(found.label))


def _place(draft: Draft, circuit: Circuit, places: dict[str, int]) -> tuple[int, int]:
    """Where a circuit stands in the order of boards and ways."""
    way = draft.way(circuit.id)
    return places[way.board], way.way or 0


def _load(draft: Draft, role: str, words: Words) -> Iterator[str]:
    """What a circuit without a data sheet feeds, and what its leakage was measured at."""
    item = draft.equipment[role]
    if role in draft.papers:
        return
    yield draft.origin[role].family.description
    if item.rated_power_w is not None:
        yield words.say("power", value=number(item.rated_power_w), current=number(item.rated_current_a or 0))
    yield words.texts["electronics" if _has_electronics(item) else "no_electronics"]
    yield words.say("leakage", value=number(item.protective_conductor_current_ma or 0))


def _circuit_facts(circuit: Circuit, words: Words) -> Iterator[str]:
    """What the survey adds to a circuit: its loading, its outlets, its place, how much depends on it."""
    if circuit.design_current_a is not None:
        yield words.say("design", value=number(circuit.design_current_a))
    if circuit.socket_outlet_rated_current_a is not None:
        yield words.say("outlets", value=number(circuit.socket_outlet_rated_current_a))
    if circuit.in_bathroom_zone:
        yield words.texts["bathroom"]
    if circuit.critical:
        yield words.texts["critical"]


def _has_electronics(item: Equipment) -> bool:
    return item.front_end is not None and item.front_end.value not in ("resistive", "phase_angle", "burst")


def _earth_rows(draft: Draft, words: Words) -> Iterator[SheetRow]:
    for item in draft.equipment.values():
        if item.charger is not None and draft.supply.earthing_system is EarthingSystem.TN_C_S:
            ohm = number(item.charger.electrode_resistance_ohm or 0)
            yield SheetRow(
                label=words.say("electrode", label=thing_of(item.label)), value=words.say("electrode_value", ohm=ohm)
            )
        if item.battery is not None:
            place = words.texts[f"place_{item.battery.location.value}"]
            open_place = words.is_open(f"equipment.{item.id}.battery.location")
            value = words.texts["battery_open"] if open_place else words.say("battery_value", place=place)
            yield SheetRow(label=words.say("battery", label=thing_of(item.label)), value=value)
    island = draft.earthing.island_electrode_resistance_ohm
    if island is not None and draft.supply.earthing_system is not EarthingSystem.TT:
        yield SheetRow(label=words.texts["island_electrode"], value=number(island), unit="Ω")


def _survey_notes(draft: Draft, words: Words) -> Iterator[str]:
    """Widths, surge protection, notices, routes and tests, as far as nobody has to decide them."""
    yield words.texts["widths"]
    if words.is_open("surge.device"):
        yield words.texts["surge_open"]
    else:
        yield words.say("surge_value", lead=number(draft.surge.lead_length_m or 0))
    yield words.texts["building"]
    yield words.texts["notices_open" if words.is_open("notices") else "notices_value"]
    for name, route in (("load", draft.network.load_route), ("generation", draft.network.generation_route)):
        if route is not None and not words.is_open(f"network.{name}_route"):
            yield words.texts[f"{name}_{route}"]
    yield words.texts["tests"]
