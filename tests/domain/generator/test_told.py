"""Every fact of the house that nobody has to decide stands in the pack.

The table says for each attribute how the papers tell it; an attribute that is in no list fails the
test, so that a new fact of the model cannot be forgotten.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.domain.generator.drawn import LEVELS, task
from trainer.domain.generator.offers import number
from trainer.domain.tasks import Task
from trainer.interop.task_json import open_installation

# Tells itself by the tree of the drawing, by labels, or is no fact that a rule reads from a paper.
STRUCTURE = {
    "format", "format_version", "edition", "title", "premises",
    *(f"{kind}.{name}" for kind in ("boards", "devices", "circuits", "equipment") for name in ("id", "label")),
    "boards.fed_by", "devices.board", "devices.fed_by", "devices.kind", "circuits.fed_by", "circuits.has_neutral",
    "circuits.phases", "circuits.location", "circuits.socket_outlets", "circuits.luminaires",
    "circuits.outdoor_mobile_equipment", "equipment.circuit", "equipment.kind", "equipment.location",
    "equipment.phases", "equipment.fixed", "equipment.source.kind", "equipment.charger.earthing",
}  # fmt: skip

# An empty text: told by the description of the item alone.
# Stands in a sentence or in a word of its own: {} is the value; a table gives the words by value.
WORDS: dict[str, str | dict[object, str]] = {
    "supply.earthing_system": {"TN-S": "TN-S (", "TN-C-S": "TN-C-S (PME)", "TT": "TT (no earth"},
    "supply.phases": "three-phase and neutral",
    "supply.looped": {False: "Looped service: no", True: "Looped service: yes"},
    "supply.declared_adequate": "declared adequate by the network operator: yes",
    "earthing.extraneous_parts": {True: "structure): yes", False: "structure): no"},
    "surge.device": "type 2 at the origin",
    "surge.one_plus_one_connection": "connected as the earthing system asks",
    "surge.external_lightning_protection": "No external lightning protection",
    "surge.serious_consequence": "Nothing in the building depends on it",
    "surge.owner_declines": "urge protection: ",
    "network.load_route": {
        "notify_within_28_days": "will be notified",
        "apply_before_work": "was asked before the work",
    },
    "network.generation_route": "under {}",
    "notices": "Notices on display",
    "boards.standard": "{}",
    "boards.metal_enclosure": "steel enclosure",
    "boards.noncombustible": "steel enclosure",
    "boards.class_ii_supply_side": "double insulated up to the first residual current device",
    "devices.standard": "mark of its product standard",
    "devices.modules": "Modules taken:",
    "devices.rcd_type": "type {}",
    "devices.residual_delay": {"S": " mA S", "general": " mA"},
    "devices.direction": {"unidirectional": "fed from its marked side", "bidirectional": "from either side"},
    "devices.curve": "curve {}",
    "devices.arc_fault_detection": "with arc fault detection",
    "circuits.critical": "must not go off together",
    "circuits.in_bathroom_zone": "ends in a bathroom zone",
    "circuits.ring": "ring, ",
    "circuits.line": "{}",
    "circuits.cable.type": {"4D5": "flat twin and earth", "4D2": "multicore", "4D4": "armoured"},
    "circuits.cable.reference_method": "method {}",
    "circuits.cable.earthed_metal_covering": "steel",
    "circuits.cable.mechanically_protected": "steel trunking",
    "circuits.cable.buried": "in the ground",
    "equipment.front_end": "",
    "equipment.plug_in": "outlet",
    "equipment.industrial_plug": "60309",
    "equipment.motor.direct_on_line": {True: "irect on line", False: ""},
    "equipment.maker_rcd_type": "type {}",
    "equipment.maker_rcd_word": "ype ",
    "equipment.maker_rcd_not_needed": "ype B",
    "equipment.maker_curve": "urve",
    "equipment.built_in_rcd.standard": "{}",
    "equipment.built_in_rcd.rcd_type": "type {}",
    "equipment.charger.charges_outdoors": "utdoor",
    "equipment.charger.direct_current_detection_standard": "{}",
    "equipment.charger.electrode_clear_of_bonded_metal": "clear of bonded metal",
    "equipment.charger.simultaneous_reach_of_earths": "no reach of two earths",
    "equipment.charger.armour_isolated_at_one_end": "armour can be left off",
    "equipment.charger.load_limit_fail_safe": {True: "with a tool", False: ""},
    "equipment.source.island_isolator_opens_all_live": "sland isolator",
    "equipment.source.neutral_earth_link": "elay",
    "equipment.source.residual_monitoring": "onitor",
    "equipment.source.type_tested": "type tested",
    "equipment.source.isolator_ac": "a.c. isolator",
    "equipment.source.isolator_dc": "switch-disconnector",
    "equipment.source.island": {True: "hole house", False: ""},
    "equipment.pv_array.class_ii": "lass II",
    "equipment.pv_array.frame_is_extraneous": "extraneous",
    "equipment.pv_array.frame_earthing": "extraneous",
    "equipment.battery.location": "Battery of the",
    "equipment.battery.alarm_linked": "alarm",
    "equipment.battery.fire_service_notice": "fire service notice",
}

# Silent on purpose where the value is the safe assumption, or where there is nothing of it.
SILENT_WHEN = {
    "equipment.galvanic_separation": (False,),
    "equipment.standing_dc_ma": (0, 0.0),
    "equipment.charger.direct_current_detection": ("silent",),
    "equipment.charger.open_pen": ("silent",),
}
BY_ITS_WORDS = {
    "equipment.galvanic_separation": "separation",
    "equipment.charger.direct_current_detection": "direct residual current",
    "equipment.charger.open_pen": "PEN",
}
NUMBERS_ELSEWHERE = {"equipment.rated_power_w"}
"""Told in kilowatts on sheets and in watts in the survey."""


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for inner in value:
            yield from leaves(inner, path)
    else:
        yield path, value


def pack_text(one: Task) -> str:
    parts = []
    for sheet in one.pack:
        parts += [sheet.title, *(f"{row.label}: {row.value} {row.unit}" for row in sheet.rows), *sheet.notes]
    return "\n".join(parts)


def told(path: str, value: Any, text: str) -> bool:
    if path in STRUCTURE:
        return True
    if path in WORDS:
        words = WORDS[path]
        return (words.format(value) if isinstance(words, str) else words[value]).casefold() in text.casefold()
    if value in SILENT_WHEN.get(path, ()):
        return True
    if path in BY_ITS_WORDS:
        return BY_ITS_WORDS[path].casefold() in text.casefold()
    if path in NUMBERS_ELSEWHERE:
        return number(round(value / 1000, 2)) in text or number(value) in text
    assert isinstance(value, int | float), f"{path} is in no list of this test"
    return number(value) in text or f"{value:.2f}" in text


@pytest.mark.parametrize("level", LEVELS)
def test_each_fact_is_on_a_paper(level):
    for seed in range(40, 70):
        one = task(seed, level)
        text = pack_text(one)
        for path, value in leaves(open_installation(one)):
            assert told(path, value, text), (seed, level, path, value)


def test_a_fact_of_a_silent_sheet_is_not_told():
    for seed in range(200):
        one = task(seed, 1)
        for item in one.house.equipment.values():
            if item.charger is not None and item.charger.direct_current_detection == "silent":
                sheet = next(each for each in one.pack if each.subject == f"equipment.{item.id}")
                text = " ".join((*sheet.notes, *(row.label + row.value for row in sheet.rows))).lower()
                assert "6 ma" not in text
                assert "direct residual" not in text
                return
    pytest.fail("no silent sheet in two hundred seeds")
