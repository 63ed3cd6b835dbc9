"""Phrases of the survey: a device, a board, a cable in one line each, without what is undecided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.generator.data import ScenarioData, Wiring
from trainer.domain.generator.naming import lowered
from trainer.domain.generator.offers import number
from trainer.domain.generator.sizing import cable_of
from trainer.domain.vocabulary import DeviceKind, Direction, ResidualDelay

_FOUND_A = 100.0
"""The rating of the assembly that is there, where it is open whether it stays."""


class Words:
    """The survey's texts, and the paths on which it must be silent because the learner decides."""

    def __init__(self, data: ScenarioData, undecided: frozenset[str]) -> None:
        self.texts: Mapping[str, str] = data.sheets.texts["survey"]
        self.kinds: Mapping[str, str] = data.sheets.texts["kinds"]
        self.open_text = data.sheets.texts["sheets"]["open"]
        self.undecided = undecided

    def is_open(self, path: str) -> bool:
        """True when a decision sets the value at the path."""
        return path in self.undecided

    def say(self, key: str, **words: str) -> str:
        """A phrase of the survey with its words put in."""
        return self.texts[key].format(**words)


def device_value(device: Device, words: Words) -> str:
    """What stands in a way: kind, rating, curve, type, poles, capacity, direction; open ones left out."""
    return ", ".join(_device_parts(device, words))


def _device_parts(device: Device, words: Words) -> Iterator[str]:
    def known(attribute: str) -> bool:
        return not words.is_open(f"devices.{device.id}.{attribute}")

    yield words.kinds[device.kind] if known("kind") else words.open_text
    if known("rated_current_a"):
        yield f"{number(device.rated_current_a)} A"
    if device.curve is not None and known("curve"):
        yield words.say("curve", curve=device.curve.value)
    if device.detects_residual_current and known("kind"):
        yield from _residual_parts(device, words)
    if known("poles"):
        yield words.say("poles", count=str(device.poles))
    if device.arc_fault_detection and known("arc_fault_detection"):
        yield words.texts["arc"]
    if device.breaking_capacity_ka is not None and known("breaking_capacity_ka"):
        yield f"{number(device.breaking_capacity_ka)} kA"
    if device.direction is not None and device.kind is not DeviceKind.SWITCH and known("direction"):
        one_way = device.direction is Direction.UNIDIRECTIONAL
        yield words.texts["one_way" if one_way else "both_ways"]


def _residual_parts(device: Device, words: Words) -> Iterator[str]:
    path = f"devices.{device.id}"
    if device.rcd_type is not None and not words.is_open(f"{path}.rcd_type"):
        yield words.say("type", type=device.rcd_type.value)
    rated = device.rated_residual_operating_current_ma
    if rated is not None and not words.is_open(f"{path}.rated_residual_operating_current_ma"):
        selective = words.texts["selective"] if device.residual_delay is ResidualDelay.S else ""
        yield f"{number(rated)} mA{selective}"


def fed_from(device: Device, devices: Mapping[str, Device], words: Words) -> str:
    """What feeds a device, unless that is for the learner to decide."""
    if words.is_open(f"devices.{device.id}.fed_by"):
        return words.texts["fed_open"]
    above = devices.get(device.fed_by)
    if above is None or above.kind is DeviceKind.SWITCH:
        return ""
    return words.say("fed", place=lowered(above.label))


def board_value(board: Board, words: Words) -> str:
    """Year, rating, room, tails and enclosure of a board."""
    year = words.texts["new"] if board.year_installed is None else words.say("year", year=str(board.year_installed))
    extra = words.texts["metal"] if board.metal_enclosure else ""
    if board.conditional_rating_ka is not None:
        extra += words.say("conditional", ka=number(board.conditional_rating_ka))
    if board.class_ii_supply_side:
        extra += words.texts["insulated"]
    open_rating = words.is_open(f"boards.{board.id}.rated_current_a")
    return words.say(
        "board_value",
        year=year,
        rated=words.say("rating_open", rated=number(_FOUND_A))
        if open_rating
        else f"{number(board.rated_current_a or 0)} A",
        factor=number(board.rated_diversity_factor or 0),
        ways=str(board.ways),
        tails=number(board.tails_mm2 or 0),
        length=number(board.tails_length_m or 0),
        standard=board.standard or "",
        extra=extra,
    )


def cable_value(circuit: Circuit, wiring: Wiring, words: Words, *, lines: int) -> str:
    """Cross-section, length and conditions of a cable; the line it is on where there are several."""
    cable = cable_of(circuit)
    size = f"{number(cable.cross_section_mm2)}/{number(cable.protective_conductor_mm2 or 0)} mm²"
    if words.is_open(f"circuits.{circuit.id}.cable.cross_section_mm2"):
        size = words.say("size", place=words.open_text)
    length = words.say("ring" if circuit.ring else "length", length=number(cable.length_m))
    parts = [size, length, wiring.label, words.say("method", method=cable.reference_method)]
    if cable.concealed_depth_mm is not None:
        parts.append(words.say("depth", depth=number(cable.concealed_depth_mm)))
    if cable.grouped_with:
        parts.append(words.say("grouped", count=str(cable.grouped_with)))
    if cable.buried:
        parts.append(words.say("ground", temperature=number(cable.ground_c)))
    if circuit.phases == 1 and lines > 1:
        parts.append(circuit.line)
    return ", ".join(parts)


def words(device: Device) -> dict[str, str]:
    """How a device is called in a question."""
    label = lowered(device.label)
    if device.way is None:
        return {"label": label, "place": label}
    where = "" if device.board == "main" else ", second consumer unit"
    return {"label": label, "place": f"way {device.way}{where} ({label})", "way": str(device.way)}
