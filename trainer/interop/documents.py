"""From bytes to plain values: TOML and JSON, with the place of every mistake in the text."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from typing import Any, Final, NoReturn

from trainer.domain.errors import InstallationError, Problem
from trainer.interop.problems import limited, shown

BYTES_MAXIMUM: Final = 1_000_000
_TOML_PLACE: Final = re.compile(r" \(at (?P<place>line \d+, column \d+|end of document)\)$")
_STRINGS_AND_COMMENTS: Final = re.compile(r"\"[^\"\n]*\"|'[^'\n]*'|#[^\n]*")
_DOTS_IN_A_LINE_MAXIMUM: Final = 30
_HALF_OF_A_CHARACTER: Final = re.compile(r"\\u[dD][89a-fA-F]")
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")


def parsed(data: bytes) -> dict[str, Any]:
    """The table or object that a file holds; JSON when it starts with a brace, else TOML.

    *Raises* InstallationError.
    """
    text = _text(data)
    try:
        content: dict[str, Any] | None = _json(text) if text.lstrip()[:1] == "{" else _toml(text)
    except RecursionError:
        content = None
    if content is None:
        # Raised here so that the exhausted stack of the parser is no part of the message.
        _refuse("", "tables or lists nested too deeply; an installation needs at most four levels")
    return content


def _refuse(path: str, problem: str, value: object = None) -> NoReturn:
    raise InstallationError(Problem(path=path, problem=problem, value=None if value is None else shown(value)))


def _text(data: bytes) -> str:
    if len(data) > BYTES_MAXIMUM:
        _refuse("", f"too large; a file of an installation has at most {BYTES_MAXIMUM} bytes")
    if data.startswith(_UTF_16):
        _refuse("", "encoded as UTF-16; save the file as UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        byte = data[error.start : error.start + 1].hex()
        _refuse(f"line {line}", "not UTF-8; save the file as UTF-8", f"byte {byte}")
    if not text.strip():
        _refuse("", "the file is empty")
    return text


def _json(text: str) -> dict[str, Any]:
    twice: list[str] = []

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        content = dict(pairs)
        if len(content) < len(pairs):
            times = Counter(name for name, _ in pairs)
            twice.extend(name for name in content if times[name] > 1)
        return content

    try:
        content = json.loads(text, object_pairs_hook=once)
    except json.JSONDecodeError as error:
        cut = "; is the file cut off?" if error.pos >= len(text.rstrip()) else ""
        _refuse(f"line {error.lineno}, column {error.colno}", f"not JSON: {error.msg}{cut}")
    except ValueError:
        _refuse("", "not JSON: a number has thousands of digits")
    if twice:
        problems = [Problem(path=str(shown(key)), problem="this key stands twice in one object") for key in twice]
        raise InstallationError(*limited(problems))
    if not isinstance(content, dict):
        _refuse("", "must be one JSON object")
    _refuse_halves(text, content)
    return content


def _refuse_halves(text: str, content: dict[str, Any]) -> None:
    """Refuses half of a pair that makes a character: no file and no screen can hold it (RFC 8259, 8.2)."""
    if _HALF_OF_A_CHARACTER.search(text) is None:
        return
    try:
        json.dumps(content, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError as error:
        _refuse("", "half of a character, which cannot be written", f"\\u{ord(error.object[error.start]):x}")


def _toml(text: str) -> dict[str, Any]:
    _refuse_endless_keys(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        match = _TOML_PLACE.search(message)
        place = match["place"] if match else ""
        cut = "; is the file cut off?" if place == "end of document" else ""
        what = _TOML_PLACE.sub("", message)
        _refuse(place, f"not TOML: {what if what.isprintable() else ascii(what)}{cut}")
    except ValueError:
        _refuse("", "not TOML: a number has thousands of digits, or a date that does not exist")


def _refuse_endless_keys(text: str) -> None:
    """Refuses dotted keys without end: the parser's time grows with the square of their length."""
    for number, line in enumerate(_STRINGS_AND_COMMENTS.sub("x", text).split("\n"), start=1):
        if line.count(".") > _DOTS_IN_A_LINE_MAXIMUM:
            _refuse(f"line {number}", "tables nested too deeply; an installation needs at most four levels")
