"""Answers as they are stored while somebody sits: what can be read, and beside it what is not finished yet.

A field of an unfinished answer stands under its own name after ``~``; it brings the page back as
it was left, and earns nothing.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from trainer.services.sittings.records import NOTHING_SAID, Answers, SavedAnswer

_RAW = "~"


def written(answers: Answers) -> tuple[str, str]:
    """Answers and certainties as JSON, the same text for the same answers."""
    values: dict[str, object] = dict(answers.given)
    values |= {_RAW + name: list(texts) for name, texts in answers.unfinished.items()}
    return _text(values), _text(dict(answers.certainty))


def read(saved: SavedAnswer | None) -> Answers:
    """The answers that were written."""
    if saved is None:
        return NOTHING_SAID
    values: Mapping[str, object] = json.loads(saved.answers_json)
    return Answers(
        given={name: value for name, value in values.items() if isinstance(value, str)},
        certainty=json.loads(saved.certainty_json),
        unfinished={name[1:]: tuple(value) for name, value in values.items() if isinstance(value, list)},
    )


def _text(values: Mapping[str, object]) -> str:
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
