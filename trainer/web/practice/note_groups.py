"""The notes of a survey by where they come from, so that what counts does not hide among the rest."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache, lru_cache

from flask_babel import LazyString, lazy_gettext

from trainer.services.scenarios import scenarios

_NOTES_KNOWN = 1024
"""Most notes stand in many surveys alike."""


class NoteGroup(StrEnum):
    """Where a note comes from, in the order of the page."""

    SEEN = "seen"
    MEASURED = "measured"
    NETWORK = "network"
    CUSTOMER = "customer"
    VISIT = "visit"


# Notes of the survey by their keys in the scenario data. Remarks have numbers there; those that stand nowhere
# here are of the visit.
_KEYS: Mapping[NoteGroup, tuple[str, ...]] = {
    NoteGroup.SEEN: (
        *("widths", "surge_open", "surge_value", "building", "notices_open", "notices_value"),
        *("02", "09", "10", "12", "14", "22"),
    ),
    NoteGroup.MEASURED: ("tests", "20", "24"),
    NoteGroup.NETWORK: (
        *("load_notify_within_28_days", "load_apply_before_work", "generation_G98", "generation_G99"),
        *("01", "16"),
    ),
    NoteGroup.CUSTOMER: ("04", "05", "07", "13", "15", "17", "19"),
}


def grouped(notes: Iterable[tuple[int, str]]) -> Mapping[NoteGroup, list[tuple[int, str]]]:
    """Numbered notes by group, groups in order; what nobody has sorted counts as seen."""
    found: dict[NoteGroup, list[tuple[int, str]]] = {group: [] for group in NoteGroup}
    for number, note in notes:
        found[group_of(note) or NoteGroup.SEEN].append((number, note))
    return {group: held for group, held in found.items() if held}


@lru_cache(maxsize=_NOTES_KNOWN)
def group_of(note: str) -> NoteGroup | None:
    """The group of a note, or None where the scenario data has no such note."""
    return next((group for group, pattern in _patterns() if pattern.fullmatch(note)), None)


_TITLES: Mapping[NoteGroup, LazyString] = {
    NoteGroup.SEEN: lazy_gettext("What was seen"),
    NoteGroup.MEASURED: lazy_gettext("What was measured, and what is booked"),
    NoteGroup.NETWORK: lazy_gettext("Meter and network operator"),
    NoteGroup.CUSTOMER: lazy_gettext("What the customer says"),
    NoteGroup.VISIT: lazy_gettext("On the visit"),
}


def title_of(group: NoteGroup) -> str:
    """The heading of a group."""
    return str(_TITLES[group])


@cache
def _patterns() -> tuple[tuple[NoteGroup, re.Pattern[str]], ...]:
    texts = scenarios().sheets.texts
    known = {**texts["survey"], **texts["remarks"]}
    sorted_keys = {key: group for group, keys in _KEYS.items() for key in keys}
    others = {key: NoteGroup.VISIT for key in texts["remarks"] if key not in sorted_keys}
    return tuple((group, _pattern(known[key])) for key, group in {**sorted_keys, **others}.items() if key in known)


def _pattern(text: str) -> re.Pattern[str]:
    """A text of the scenario data with anything in the place of its {words}."""
    return re.compile(".+".join(re.escape(part) for part in re.split(r"\{[^}]*\}", text)))
