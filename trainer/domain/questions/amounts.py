"""Numbers with units as questions print them."""

from __future__ import annotations

from collections.abc import Sequence

_SIGNS = {
    "ohm": "Ω",
    "Mohm": "MΩ",
    "mm2": "mm²",
    "A2s": "A²s",
    "degC": "°C",
    "mohm/m": "mΩ/m",
    "A s^0.5/mm2": "A√s/mm²",
}
_NO_BREAK = "\u00a0"


def plain(value: float, places: int = 2) -> str:
    """The number with at most so many decimals and no idle zeros."""
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def amount(value: float, unit: str, places: int = 2) -> str:
    """Number and unit with a space that does not break, such as 0.35 Ω."""
    return f"{plain(value, places)}{_NO_BREAK}{_SIGNS.get(unit, unit)}"


def listed(parts: Sequence[str]) -> str:
    """Parts as a list in a sentence: a, b and c."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def spoken(parts: Sequence[str]) -> str:
    """A sum as it is written: a + b + c."""
    return " + ".join(parts)
