"""How records are called in a sentence."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import Installation
from trainer.domain.notices import Notice, Procedure
from trainer.explain.diagram.equipment_words import kind_words
from trainer.explain.diagram.words import Teller

Translate = Callable[[str], str]


def record_at(house: Installation, path: str) -> Any:
    """The record that a path names, whatever attribute of it the path goes on to; else the house."""
    collection, _, rest = path.partition(".")
    key = rest.partition(".")[0]
    found = getattr(house, collection, None) if collection in _COLLECTIONS else None
    return house if found is None else found.get(key, house)


_COLLECTIONS = frozenset({"boards", "devices", "circuits", "equipment"})


def name_of(house: Installation, path: str, translate: Translate) -> str:
    """The record as people call it: ``way 6, charger``, ``the garage board``, ``the installation``."""
    _ = translate
    record = record_at(house, path)
    if path.startswith("notices."):
        return notice_words(translate).get(path.partition(".")[2], _("the notices"))
    if isinstance(record, Device):
        return device_name(record, translate)
    if isinstance(record, Circuit):
        return _("circuit ‘{label}’").format(label=record.label or record.id)
    if isinstance(record, Equipment):
        return decapitalised(record.label) or kind_words(translate)[record.kind]
    if isinstance(record, Board):
        return decapitalised(record.label) or _("board {id}").format(id=record.id)
    return _wholes(translate).get(path.partition(".")[0], _("the installation"))


@cache
def _wholes(_: Translate) -> dict[str, str]:
    """What has one record only."""
    return {
        "supply": _("the supply"),
        "earthing": _("the earthing of the installation"),
        "surge": _("the surge protection"),
        "network": _("the dealings with the network operator"),
        "notices": _("the notices"),
        "premises": _("the premises"),
    }


@cache
def notice_places(_: Translate) -> dict[str, str]:
    """Where each notice of a further source hangs."""
    return {
        Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN: _("at the origin"),
        Notice.ALTERNATIVE_SUPPLY_AT_METER: _("at the meter"),
        Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT: _("at the consumer unit"),
        Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS: _("at the isolators"),
    }


@cache
def notice_words(_: Translate) -> dict[str, str]:
    """Each notice and each procedure on record."""
    return {
        Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN: _("the notice of a further source at the origin"),
        Notice.ALTERNATIVE_SUPPLY_AT_METER: _("the notice of a further source at the meter"),
        Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT: _("the notice of a further source at the consumer unit"),
        Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS: _("the notice of a further source at the isolators"),
        Notice.RCD_TEST: _("the notice on testing residual current devices"),
        Notice.PERIODIC_INSPECTION: _("the notice of the next inspection"),
        Notice.CIRCUIT_CHART: _("the circuit chart"),
        Notice.FIRE_SERVICE_BATTERY: _("the notice of the battery for the fire service"),
        Notice.ISOLATION_OF_ALL_SOURCES: _("the instructions for isolating all sources"),
        Procedure.EXISTING_INSTALLATION_ASSESSED: _("the assessment of the existing installation"),
        Procedure.LOADS_DISCONNECTED: _("testing with loads disconnected"),
        Procedure.LEAKAGE_BY_CLAMP: _("the leakage measured by clamp"),
        Procedure.DIRECT_CURRENT_DETECTION_TESTED: _("the test of the d.c. detection"),
        Procedure.OPEN_PEN_DETECTION_TESTED: _("the test of the open-PEN detection"),
        Procedure.INSULATION_TESTED_AT_250_V: _("the insulation test at 250 V"),
        Procedure.LOSS_OF_MAINS_TESTED: _("the test of loss of mains"),
    }


def device_name(device: Device, translate: Translate) -> str:
    """Way and label of a device; its kind where it has no label."""
    _ = translate
    label = device.label or Teller(translate=translate).device_kind(device.kind)
    if device.way is None or f"way {device.way}" in label.casefold():
        return decapitalised(label)
    return _("way {way} ({label})").format(way=device.way, label=decapitalised(label))


def within_sentence(house: Installation, path: str, translate: Translate) -> str:
    """A record as it is called within a sentence: ``the induction hob (kitchen)``, ``charging point 1 (drive)``."""
    name = name_of(house, path, translate)
    if not isinstance(record_at(house, path), Equipment):
        return name
    first, comma, place = name.partition(", ")
    said = f"{first} ({place})" if comma else name
    return said if first[-1:].isdigit() else translate("the {thing}").format(thing=said)


def decapitalised(text: str) -> str:
    """The text with a small first letter, unless its first word is an abbreviation such as PV."""
    first = text.partition(" ")[0]
    return text if len(first) < 2 or not first[1:].islower() else text[0].lower() + text[1:]


def capitalised(text: str) -> str:
    """The text with a capital first letter, the rest as it is."""
    return text[:1].upper() + text[1:]


def listed(names: list[str], translate: Translate) -> str:
    """Names as a list in a sentence."""
    if len(names) < 2:
        return "".join(names)
    return translate("{first} and {last}").format(first=", ".join(names[:-1]), last=names[-1])
