"""How things are called inside a sentence."""

from __future__ import annotations


def thing_of(label: str) -> str:
    """An item without its place: ``the hybrid inverter`` of ``Hybrid inverter, garage``. A number takes no article."""
    name = lowered(label.partition(",")[0])
    return name if name[-1:].isdigit() else f"the {name}"


def lowered(text: str) -> str:
    """A label inside a sentence: its first letter small, unless the word is an abbreviation."""
    return text if text[:2].isupper() else text[:1].lower() + text[1:]


def plural(surname: str) -> str:
    """A family by its surname: the Ryans, the Joneses."""
    return surname + ("es" if surname.endswith(("s", "x", "z", "ch", "sh")) else "s")
