"""Where in the papers a verdict has its facts: which sheet, which row or note, or that a sheet is silent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trainer.domain.equipment import Equipment
from trainer.domain.findings import Finding
from trainer.domain.generator.data import FactWording
from trainer.domain.generator.data_sheets import OR
from trainer.domain.generator.told import facts_of
from trainer.domain.installation import Installation
from trainer.domain.tasks import Sheet, Task
from trainer.explain.attributes import attribute_words
from trainer.explain.reads import WatchedHouse
from trainer.services.scenarios import scenarios

_MOST = 4

# Attributes below an item of equipment, and the fact of its data sheet that tells them.
_FACTS: Mapping[str, str] = {
    "rated_power_w": "power",
    "rated_current_a": "current",
    "phases": "phases",
    "front_end": "supply_stage",
    "galvanic_separation": "separation",
    "protective_conductor_current_ma": "leakage",
    "standing_dc_ma": "standing_dc",
    "maker_maximum_overcurrent_device_a": "overcurrent_limit",
    "maker_minimum_circuit_current_a": "minimum_circuit",
    "maker_curve": "maker_curve",
    "maker_rcd_type": "rcd",
    "maker_rcd_word": "rcd",
    "maker_rcd_not_needed": "rcd",
    "built_in_rcd": "built_in",
    "motor.starting_current_a": "starting",
    "charger.direct_current_detection": "detection",
    "charger.direct_current_detection_ma": "detection",
    "charger.direct_current_detection_standard": "detection",
    "charger.open_pen": "open_pen",
    "charger.open_pen_disconnects_within_s": "open_pen",
    "charger.charges_outdoors": "outdoors",
    "charger.load_limit_a": "load_limit",
    "charger.load_limit_fail_safe": "load_limit",
    "source.island": "island",
    "source.island_fault_current_a": "island_fault",
    "source.island_isolator_opens_all_live": "island_isolator",
    "source.residual_monitoring": "monitoring",
    "source.type_tested": "type_tested",
    "source.isolator_ac": "isolators",
    "source.isolator_dc": "isolators",
    "source.voltage_rise_percent": "rise",
    "source.charging_current_a": "charging",
    "pv_array.modules_in_series": "modules",
    "pv_array.strings_in_parallel": "strings",
    "pv_array.open_circuit_voltage_v": "open_circuit",
    "pv_array.short_circuit_current_a": "short_circuit",
    "pv_array.voltage_coefficient_percent_per_k": "voltage_coefficient",
    "pv_array.maximum_input_voltage_v": "input_limit",
    "pv_array.module_maximum_overcurrent_protection_a": "reverse_current",
    "pv_array.minimum_temperature_c": "minimum_temperature",
    "pv_array.class_ii": "array_class",
    "pv_array.frame_earthing": "frame",
}
# Facts that almost every rule reads on its way; they are named only where nothing else is.
_COMMON = frozenset({"phases", "current", "power"})

# What a sheet does not name nobody may count on: here its silence decides.
_TELLING_SILENCE = frozenset(
    {"charger.direct_current_detection", "charger.open_pen", "front_end", "maker_rcd_type", "source.type_tested"}
)

# Attributes of supply and earthing, and the label in the texts of the supply record.
_SUPPLY: Mapping[str, str] = {
    "supply.earthing_system": "system",
    "supply.phases": "phases",
    "supply.external_earth_fault_loop_impedance_ohm": "ze",
    "earthing.electrode_resistance_ohm": "electrode",
    "supply.prospective_fault_current_ka": "fault",
    "supply.fuse_rated_current_a": "fuse",
    "supply.neutral_mm2": "neutral",
    "supply.looped": "looped",
    "supply.declared_adequate": "adequate",
    "earthing.earthing_conductor_mm2": "earthing_conductor",
    "earthing.extraneous_parts": "extraneous",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One place in the papers. ``row`` or ``note`` says where; neither, that the sheet is silent on ``what``."""

    sheet: str
    title: str
    what: str
    row: str = ""
    note: int = 0

    @property
    def is_silent(self) -> bool:
        """True where the sheet says nothing of it."""
        return not self.row and not self.note


class Papers:
    """The papers of a task beside the installation as it was chosen."""

    def __init__(self, task: Task, house: Installation) -> None:
        self._house = house
        self._open = task.undecided_paths
        self._sheets = {each.subject: each for each in task.pack if each.subject}
        self._watched = WatchedHouse(house, task.edition)

    def told(self, finding: Finding) -> tuple[Told, ...]:
        """Where the facts of a finding stand, the most telling first."""
        if not self._sheets:
            return ()
        read = [path for path in self._watched.read_by(finding) if path not in self._open]
        found = dict.fromkeys(self._of_equipment(read))
        common = [each for each in found if each.what in _COMMON]
        telling = [each for each in found if each.what not in _COMMON] or common
        telling.sort(key=lambda each: each.sheet != f"sheet-{finding.subject.partition('.')[2]}")
        return tuple([*telling, *self._of_supply(read), *self._of_survey(read, finding)][:_MOST])

    def _of_equipment(self, read: Iterable[str]) -> Iterator[Told]:
        wordings = scenarios().sheets.facts
        for path in read:
            kind, _, rest = path.partition(".")
            key, _, attribute = rest.partition(".")
            sheet = self._sheets.get(f"equipment.{key}") if kind == "equipment" else None
            fact = _FACTS.get(attribute) or (_FACTS["built_in_rcd"] if attribute.startswith("built_in_rcd") else None)
            if sheet is None or fact is None:
                continue
            item = self._house.equipment[key]
            told = _on_sheet(sheet, fact, item, wordings[fact])
            if told is not None:
                yield told
            elif attribute in _TELLING_SILENCE:
                yield Told(sheet=sheet.id, title=sheet.title, what=attribute_words(self._house, path, str))

    def _of_supply(self, read: Iterable[str]) -> Iterator[Told]:
        sheet = self._sheets.get("supply")
        texts = scenarios().sheets.texts["supply"]
        for path in read:
            label = texts[_SUPPLY[path]] if path in _SUPPLY else None
            if sheet and label and any(row.label == label for row in sheet.rows):
                yield Told(sheet=sheet.id, title=sheet.title, what=path, row=label)

    def _of_survey(self, read: Iterable[str], finding: Finding) -> Iterator[Told]:
        """The row of the circuit or the device that is judged, and that of its cable."""
        sheet = self._sheets.get("installation")
        kind, _, key = finding.subject.partition(".")
        if sheet is None or kind not in ("circuits", "devices"):
            return
        label = getattr(self._house, kind)[key].label
        for number, row in enumerate(sheet.rows):
            if label and (row.label == label or row.label.endswith(f": {label}")):
                yield Told(sheet=sheet.id, title=sheet.title, what=finding.subject, row=row.label)
                if any(path.startswith(f"{finding.subject}.cable.") for path in read):
                    cable = sheet.rows[number + 1].label if number + 1 < len(sheet.rows) else ""
                    yield Told(sheet=sheet.id, title=sheet.title, what="cable", row=f"{row.label}, {cable}")
                return


def _on_sheet(sheet: Sheet, fact: str, item: Equipment, wording: FactWording) -> Told | None:
    """The row or the note of a sheet that tells a fact of an item, in whichever style it is written."""
    for name, value, words in (*facts_of(item, ""), *facts_of(item, "link_outside")):
        if name != fact:
            continue
        for row in sheet.rows:
            if row.label in wording.labels:
                return Told(sheet=sheet.id, title=sheet.title, what=fact, row=row.label)
        sentences = wording.sentences.get(value, wording.sentences.get("*", ()))
        told = [part.format_map({"value": value, **words}) for text in sentences for part in text.split(OR)]
        for number, note in enumerate(sheet.notes, 1):
            if any(text and text in note for text in told):
                return Told(sheet=sheet.id, title=sheet.title, what=fact, note=number)
    return None
