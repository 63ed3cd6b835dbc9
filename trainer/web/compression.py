"""Pages travel compressed where the browser accepts it: one bar of signal is enough for a task.

Source: RFC 9110, 8.4.1.3 (gzip) and 12.5.3 (Accept-Encoding); RFC 1952, 2.3.1 (the name in the header).
"""

from __future__ import annotations

import gzip
import secrets
from functools import lru_cache
from io import BytesIO

from flask import Flask, Response, request

_LEAST_BYTES = 1024
# A page is packed each time: 6 would take two thirds more time for it and save one byte in twenty-five.
_LEVEL = 4
_LEVEL_OF_FILES = 9
_TEXT = ("text/html", "text/css", "text/javascript", "image/svg+xml", "application/json", "application/javascript")
_LONGEST_NAME = 32


def install(app: Flask) -> None:
    """Compresses what is text and long enough."""
    app.after_request(_compressed)


def _compressed(response: Response) -> Response:
    is_file = request.endpoint == "static"
    # What is never packed does not vary either.
    is_short = response.is_sequence and not is_file and len(response.get_data()) < _LEAST_BYTES
    if response.mimetype not in _TEXT or is_short:
        return response
    response.vary.add("Accept-Encoding")
    if request.method == "HEAD" or response.status_code == 304 or not request.accept_encodings.quality("gzip"):
        return response
    if "Content-Encoding" in response.headers or "Content-Range" in response.headers:
        return response
    if response.is_streamed and not is_file:
        return response
    response.direct_passthrough = False
    content = response.get_data()
    if len(content) < _LEAST_BYTES:
        return response
    response.set_data(_kept(content) if is_file else _packed(content, _LEVEL, secrets.token_urlsafe(_LONGEST_NAME)))
    response.headers["Content-Encoding"] = "gzip"
    _weaken_tag(response)
    return response


def _weaken_tag(response: Response) -> None:
    tag, weak = response.get_etag()
    if tag and not weak:
        response.set_etag(tag, weak=True)


@lru_cache(maxsize=32)
def _kept(content: bytes) -> bytes:
    return _packed(content, _LEVEL_OF_FILES)


def _packed(content: bytes, level: int, name: str = "") -> bytes:
    """The content as gzip.

    A page holds what a visitor sent beside the token of its form; a name of random length in the header hides
    how well the two compressed together.
    """
    padding = name[: secrets.randbelow(len(name))] if name else ""
    packed = BytesIO()
    with gzip.GzipFile(filename=padding, mode="wb", compresslevel=level, fileobj=packed, mtime=0) as file:
        file.write(content)
    return packed.getvalue()
