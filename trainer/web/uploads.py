"""How much may be sent: little everywhere, more where a file is asked for."""

from __future__ import annotations

from flask import Flask, request

from trainer.services.people.roster import MOST_BYTES

_ROUND_IT_BYTES = 16 * 1024

# Pages that take a file, and how large what is sent may be.
LARGER = {"organisation.roster": MOST_BYTES + _ROUND_IT_BYTES}


def install(app: Flask) -> None:
    """Sets the limit before anything reads what was sent."""
    app.before_request(_make_room)


def _make_room() -> None:
    largest = LARGER.get(request.endpoint or "")
    if largest is not None:
        request.max_content_length = largest
