"""Writes ``scenarios/names.toml``: invented makers, streets and customers' surnames.

Run as ``python -m trainer.services.name_list > scenarios/names.toml`` and read the list through
before it is committed: strike out every maker's name that somebody trades under. Faker's output
changes between its versions, so the list is kept in a file and never drawn at run time.
"""

from __future__ import annotations

import sys
from collections.abc import Callable

from faker import Faker

SEED = 7671
MAKERS = 48
STREETS = 60
SURNAMES = 60

_HEADS = ("Ald", "Bress", "Corv", "Dunn", "Elv", "Ferr", "Gant", "Hask", "Ibr", "Kest", "Lund", "Mavr")
_MIDDLES = ("a", "e", "i", "o", "ar", "el", "or", "un")
_TAILS = ("bridge", "dane", "fold", "holt", "mere", "quist", "rowe", "stane", "thorpe", "wick")
_WAYS = ("Road", "Lane", "Close", "Street", "Avenue", "Rise", "Gardens", "Way", "Terrace", "Drive")

# Read through on the day the list was made: too like another name of the list, or like a place.
STRUCK_OUT = frozenset({"Dunnemere", "Ferrorrowe", "Kestorowe", "Kestorquist"})


def collected(draw: Callable[[], str], count: int, struck_out: frozenset[str] = frozenset()) -> list[str]:
    """That many different names, sorted, without those that were struck out."""
    found: set[str] = set()
    while len(found) < count:
        name = draw()
        if name not in struck_out:
            found.add(name)
    return sorted(found)


def names(seed: int = SEED) -> dict[str, list[str]]:
    """The three lists by key."""
    fake = Faker("en_GB")
    fake.seed_instance(seed)

    def maker() -> str:
        return "".join(fake.random_element(part) for part in (_HEADS, _MIDDLES, _TAILS))

    def street() -> str:
        return f"{fake.last_name()} {fake.random_element(_WAYS)}"

    return {
        "makers": collected(maker, MAKERS, STRUCK_OUT),
        "streets": collected(street, STREETS),
        "families": collected(fake.last_name, SURNAMES),
    }


def as_toml(lists: dict[str, list[str]]) -> str:
    """The lists as the text of a TOML file."""
    lines = [
        "# Invented names, written by trainer/services/name_list.py and read through once.",
        "# No maker, person or place is meant.",
        'format = "protection-trainer/names"',
        "format_version = 1",
        'language = "en-GB"',
    ]
    for key, values in lists.items():
        lines += ["", f"{key} = ["]
        lines += [f'  "{value}",' for value in values]
        lines += ["]"]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(as_toml(names()))
