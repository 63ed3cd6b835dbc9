"""The words of one family of questions, as they stand in its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

COMMON = "common"
"""The table of words that all families share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyWords:
    """Texts with placeholders in braces.

    ``question`` holds wordings of equal length, of which a seed takes one; ``why`` the reasons why
    the right answer is right and ``wrong`` what is wrong with the others, each by case; ``labels``
    the words of options, places and sheets.
    """

    id: str
    file: str
    question: tuple[str, ...] = ()
    why: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=dict)
