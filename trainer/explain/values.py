"""Values of attributes in words, for pages on which a value is moved."""

from __future__ import annotations

from functools import cache

from trainer.domain.vocabulary import Location
from trainer.explain.diagram.equipment_words import charger_earthing_words, location_words
from trainer.explain.names import Translate
from trainer.explain.numbers import quantity

_UNITS = {
    "ma": "mA",
    "ka": "kA",
    "a": "A",
    "ohm": "ohm",
    "mohm": "Mohm",
    "mm2": "mm2",
    "mm": "mm",
    "m": "m",
    "ms": "ms",
    "s": "s",
    "v": "V",
    "w": "W",
    "c": "deg C",
    "percent": "%",
}


_COUNTED = {"poles": "poles", "ways": "ways", "modules_in_series": "modules", "grouped_with": "circuits"}


def value_words(path: str, value: object, translate: Translate) -> str:
    """A value as the attribute at a path means it: ``30 mA``, ``type A``, ``yes``."""
    _ = translate
    name = path.rpartition(".")[2]
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return quantity(value, _COUNTED.get(name) or _UNITS.get(name.rpartition("_")[2], ""))
    known = _known(translate).get((name, str(value))) or _known(translate).get(("", str(value)))
    return known or str(value).replace("_", " ")


@cache
def _known(_: Translate) -> dict[tuple[str, str], str]:
    places = {("location", place.value): words for place, words in location_words(_).items()}
    if set(Location) != set(location_words(_)):
        raise KeyError("a place has no words")
    types = {(name, each): _("type {letter}").format(letter=each) for name in _TYPES for each in ("AC", "A", "F", "B")}
    return {
        **places,
        **types,
        **{("earthing", route.value): words for route, words in charger_earthing_words(_).items()},
        **{("curve", each): _("curve {letter}").format(letter=each) for each in ("B", "C", "D")},
        ("residual_delay", "general"): _("without delay"),
        ("residual_delay", "S"): _("time-delayed (S)"),
        ("", "not stated"): _("not stated"),
        ("", "silent"): _("the sheet is silent"),
        ("direct_current_detection", "yes"): _("the sheet names it"),
        ("direct_current_detection", "no"): _("the sheet says there is none"),
        ("direction", "unidirectional"): _("from its marked supply side only"),
        ("direction", "bidirectional"): _("from either side"),
        ("frame_earthing", "none"): _("connected to nothing"),
        ("neutral_earth_link", "none"): _("none"),
    }


_TYPES = ("rcd_type", "maker_rcd_type")
