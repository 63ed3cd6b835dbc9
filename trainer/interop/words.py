"""Words of the trade that stand for a word of the format, for the nearest match of an error."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Final

_SAME: Final = {
    "pme": "TN-C-S",
    "tncs": "TN-C-S",
    "tns": "TN-S",
    "mcb": "circuit_breaker",
    "breaker": "circuit_breaker",
    "rcd": "rccb",
    "isolator": "switch",
    "mainswitch": "switch",
    "selective": "S",
    "delayed": "S",
    "instantaneous": "general",
    "house": "dwelling",
    "domestic": "dwelling",
    "evcharger": "charger",
    "chargepoint": "charger",
    "ashp": "heat_pump",
    "solar": "pv_inverter",
    "battery": "battery_inverter",
    "twinandearth": "4D5",
    "swa": "4D4",
    "outside": "outdoors",
    "inside": "indoors",
}


def synonym(word: str, possible: Sequence[str]) -> str | None:
    """The possible word that a word of the trade means, or that it spells with other signs."""
    bare = _bare(word)
    by_bare = {_bare(each): each for each in possible}
    meant = _SAME.get(bare, by_bare.get(bare))
    if meant in possible:
        return meant
    close = get_close_matches(bare, by_bare, n=1, cutoff=0.6)
    return by_bare[close[0]] if close else None


def _bare(word: str) -> str:
    return "".join(sign for sign in word[:100].casefold() if sign.isalnum())
