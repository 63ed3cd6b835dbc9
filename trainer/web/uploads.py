"""What may be sent: little everywhere, more where a file is asked for; no text with the character zero."""

from __future__ import annotations

from flask import Flask, abort, request
from werkzeug.datastructures import MultiDict
from werkzeug.routing import IntegerConverter, Map

from trainer.services.people.roster import MOST_BYTES

_ROUND_IT_BYTES = 16 * 1024

_LARGEST_NUMBER = 2**31 - 1

_FORMS = frozenset({"application/x-www-form-urlencoded", "multipart/form-data"})

# Pages that take a file, and how large what is sent may be.
LARGER = {"organisation.roster": MOST_BYTES + _ROUND_IT_BYTES}


class Number(IntegerConverter):
    """A whole number in an address, no larger than what every database holds."""

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, max=_LARGEST_NUMBER)


def install(app: Flask) -> None:
    """Sets the limit before anything reads what was sent; before any page is added."""
    app.url_map.converters["int"] = Number
    app.before_request(_make_room)
    app.before_request(_refuse_other_types)
    app.before_request(_refuse_zero)


def _make_room() -> None:
    largest = LARGER.get(request.endpoint or "")
    if largest is not None:
        request.max_content_length = largest


def _refuse_other_types() -> None:
    """Every page takes forms; the library for them would also open JSON, and fail on what is no form in it."""
    if request.method not in {"GET", "HEAD", "OPTIONS"} and request.mimetype and request.mimetype not in _FORMS:
        abort(415)


def _refuse_zero() -> None:
    """No text of people holds the character zero, and databases refuse it in the middle of a statement."""
    sent = [*(request.view_args or {}).values(), *_texts(request.args)]
    if request.mimetype in _FORMS:
        sent += _texts(request.form)
    if any("\0" in str(text) for text in sent):
        abort(400)


def _texts(values: MultiDict[str, str]) -> list[str]:
    return [text for pair in values.items(multi=True) for text in pair]
