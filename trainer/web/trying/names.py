"""What is moved, and where, in words: the names of fields are for those who write an installation by hand."""

from __future__ import annotations

from trainer.domain.installation import Installation
from trainer.domain.validation.units import name_and_unit
from trainer.explain.attributes import phrases
from trainer.explain.names import Translate, name_of

_RECORDS = frozenset({"devices", "circuits", "equipment", "boards"})
# Where these begin a phrase it names what a table lacks, not the field itself.
_OF_A_TABLE = ("a ", "an ")


def field_words(path: str, translate: Translate) -> str:
    """A field without its record and unit: ``circuits.charger.cable.length_m`` is the length of the cable."""
    parts = path.split(".")
    own = parts[2:] if parts[0] in _RECORDS and len(parts) > 2 else parts[1:] if len(parts) == 2 else parts
    key = ".".join([parts[0], *own]) if own != parts else path
    phrase = phrases(translate).get(key, "")
    if phrase and not phrase.startswith(_OF_A_TABLE):
        return phrase.removeprefix("the ")
    return " ".join(map(_without_unit, own)).replace("_", " ")


def _without_unit(name: str) -> str:
    bare, unit = name_and_unit(name)
    # A factor has no sign, and what is left of its name would not say what it is.
    return bare if unit is not None and unit.sign else name


def place_words(house: Installation, path: str, translate: Translate) -> str:
    """A field with the record that it belongs to, where there are several of these."""
    field, collection = field_words(path, translate), path.partition(".")[0]
    if collection not in _RECORDS:
        return field
    return f"{field} ({name_of(house, path, translate)})"


def record_words(house: Installation, path: str, translate: Translate) -> str:
    """A record as people call it: way 7, the charger's circuit, the supply."""
    collection, _, key = path.partition(".")
    if collection in _RECORDS and key:
        return name_of(house, path, translate)
    return collection.replace("_", " ")
