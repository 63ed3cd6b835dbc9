"""Texts of the model that hold one of a closed list of words."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final

from trainer.domain.answers.decisions import names
from trainer.domain.errors import Problem, unknown
from trainer.domain.notices import KNOWN_NOTICES, GenerationRoute, LoadRoute
from trainer.domain.rules.pv import FrameEarthing
from trainer.domain.validation.draft import Draft
from trainer.domain.validation.values import text_problem

NOTICES: Final = tuple(sorted(str(notice) for notice in KNOWN_NOTICES))

# By record and field, for fields that the model types as plain text.
KEYWORDS: Final[Mapping[tuple[str, str], tuple[str, ...]]] = MappingProxyType(
    {
        ("Network", "load_route"): tuple(LoadRoute),
        ("Network", "generation_route"): tuple(GenerationRoute),
        ("Circuit", "line"): ("L1", "L2", "L3"),
        ("Equipment", "maker_curve"): ("B", "C", "D"),
        ("PvArray", "frame_earthing"): tuple(FrameEarthing),
    }
)


def keyword_problems(draft: Draft) -> Iterator[Problem]:
    """Every word that is not in its list."""
    for notice in sorted(draft.notices):
        if notice not in NOTICES:
            path = f"notices.{notice[:40]}" if notice.isidentifier() else "notices"
            yield text_problem(path, notice) or unknown(path, notice, NOTICES, "notice")
    for path, record in draft.records():
        yield from _record(path, record)


def _record(path: str, record: Any) -> Iterator[Problem]:
    kind = type(record).__name__
    for name in names(type(record)):
        value = getattr(record, name)
        if isinstance(value, str):
            words = KEYWORDS.get((kind, name))
            if words is not None and value not in words:
                yield unknown(f"{path}.{name}", value, words, "word")
        elif value is not None and not isinstance(value, bool | int | float) and dataclasses.is_dataclass(value):
            yield from _record(f"{path}.{name}", value)
