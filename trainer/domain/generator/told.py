"""The facts of an item as its data sheet may tell them: a value in words or digits for each fact."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.domain.equipment import Equipment, PvArray, Source
from trainer.domain.generator.offers import number

Told = tuple[str, str, Mapping[str, str]]
"""The fact's name, the word or the digits of its value, and further words for its sentence."""


def facts_of(item: Equipment, variant: str) -> Iterator[Told]:
    """Everything that a sheet of this item could tell; what the sheet's wording lacks stays untold."""
    yield from _ratings(item)
    if item.front_end is not None:
        yield "supply_stage", item.front_end.value, {}
    if item.source is not None or (item.galvanic_separation and not item.plug_in):
        yield "separation", _yes(bool(item.galvanic_separation)), {}
    yield from _number("leakage", item.protective_conductor_current_ma)
    if item.standing_dc_ma:
        yield from _number("standing_dc", item.standing_dc_ma)
    yield from _makers_word(item)
    if item.motor is not None:
        yield from _number("starting", item.motor.starting_current_a)
    yield from _charger(item)
    if item.source is not None:
        yield from _source(item.source, variant)
    if item.pv_array is not None:
        yield from _array(item.pv_array)
    yield "fixing", "plug" if item.plug_in else "fixed", {}
    yield "invented", "*", {}


def _yes(condition: bool) -> str:
    return "yes" if condition else "no"


def _number(name: str, value: float | None) -> Iterator[Told]:
    if value is not None:
        yield name, number(value), {}


def _ratings(item: Equipment) -> Iterator[Told]:
    if item.rated_power_w is not None:
        yield "power", number(round(item.rated_power_w / 1000, 2)), {}
    yield from _number("current", item.rated_current_a)
    yield "phases", str(item.phases), {}
    yield from _number("overcurrent_limit", item.maker_maximum_overcurrent_device_a)
    yield from _number("minimum_circuit", item.maker_minimum_circuit_current_a)
    if item.maker_curve is not None:
        yield "maker_curve", item.maker_curve, {}


def _makers_word(item: Equipment) -> Iterator[Told]:
    if item.maker_rcd_type is None or item.maker_rcd_word is None:
        return
    how = "declared" if item.maker_rcd_not_needed else item.maker_rcd_word.value
    yield "rcd", f"{how}_{item.maker_rcd_type.value}", {}


def _charger(item: Equipment) -> Iterator[Told]:
    charger = item.charger
    if charger is None:
        return
    if charger.direct_current_detection is not None:
        words = {
            "value": number(charger.direct_current_detection_ma or 0),
            "standard": charger.direct_current_detection_standard or "",
        }
        yield "detection", charger.direct_current_detection.value, words
    if charger.open_pen is not None:
        yield "open_pen", charger.open_pen.value, {"value": number(charger.open_pen_disconnects_within_s or 0)}
    if item.built_in_rcd is not None:
        inside = item.built_in_rcd
        words = {
            "standard": inside.standard,
            "type": inside.rcd_type.value,
            "value": number(inside.rated_residual_operating_current_ma),
        }
        yield "built_in", "*", words
    yield "outdoors", _yes(bool(charger.charges_outdoors)), {}
    if charger.load_limit_a is not None:
        kind = "fail_safe" if charger.load_limit_fail_safe else "open"
        yield "load_limit", kind, {"value": number(charger.load_limit_a)}


def _source(source: Source, variant: str) -> Iterator[Told]:
    yield "island", _yes(source.island), {}
    if source.island:
        yield from _number("island_fault", source.island_fault_current_a)
        yield "island_isolator", _yes(bool(source.island_isolator_opens_all_live)), {}
        yield "link_device", "outside" if variant == "link_outside" else "inside", {}
    yield "monitoring", _yes(bool(source.residual_monitoring)), {}
    yield "type_tested", _yes(bool(source.type_tested)), {}
    yield "isolators", "both" if source.isolator_dc else "ac", {}
    yield from _number("rise", source.voltage_rise_percent)
    yield from _number("charging", source.charging_current_a)


def _array(array: PvArray) -> Iterator[Told]:
    yield from _number("modules", array.modules_in_series)
    yield from _number("strings", array.strings_in_parallel)
    yield from _number("open_circuit", array.open_circuit_voltage_v)
    yield from _number("short_circuit", array.short_circuit_current_a)
    yield from _number("voltage_coefficient", array.voltage_coefficient_percent_per_k)
    yield from _number("input_limit", array.maximum_input_voltage_v)
    yield from _number("reverse_current", array.module_maximum_overcurrent_protection_a)
    yield from _number("minimum_temperature", array.minimum_temperature_c)
    yield "array_class", _yes(bool(array.class_ii)), {}
    yield "frame", array.frame_earthing or "none", {}
