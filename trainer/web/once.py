"""What one request asks several times of the storage, asked once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from flask import request

_ASKED = "trainer.asked"
V = TypeVar("V")


def once(what: str, name: str, ask: Callable[[], V]) -> V:
    """The answer to a question of this request; only for what the request itself does not change."""
    asked = request.environ.setdefault(_ASKED, {})
    key = (what, name)
    if key not in asked:
        asked[key] = ask()
    return cast(V, asked[key])


def once_while_reading(what: str, name: str, ask: Callable[[], V]) -> V:
    """The same for what a form that is sent may change: then it is asked each time."""
    return once(what, name, ask) if request.method in {"GET", "HEAD"} else ask()
