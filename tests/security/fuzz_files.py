"""Files for commands: whole ones of each kind that is read, and the same with something spoiled in them."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from tests.security.fuzz import NASTY
from trainer.cli.main import main
from trainer.resources import folder

KINDS = ("choose", "inspect", "measure", "question")
ODD_VALUES = (
    None,
    True,
    -1,
    0,
    3,
    10**400,
    1e308,
    "",
    "x",
    "LO05",
    "type_b",
    "\ud800",
    [],
    {},
    [[]],
    {"a": {}},
    *NASTY,
)
RAW: tuple[bytes, ...] = (
    b"", b"{}", b"[]", b"null", b"\xff\xfe{\x00}\x00", b"\0" * 40, b"[" * 5000, b'{"a":' * 5000, b"a = 1\n",
    b"a = [" * 3000, b"[a.b]\n[a]\nb = 1\n", b'x = """', b"x = 1979-13-40\n", b"x = 0x" + b"f" * 9000,
    b"a.b.c.d = 1\na = 2\n", b'{"format": "protection-trainer/installation"}', b'{"a": 1, "a": 2}', b'{"a": NaN}',
    b'{"a": 1e999999}', b'{"a": ' + b"9" * 5000 + b"}", b'"\\ud800"', b'{"a": "\\ud800"}', b"<a/>",
    b"name,email\n=1,2\n", b"PK\x03\x04" + b"\0" * 99, b"SQLite format 3\0",
)  # fmt: skip
_DEEPEST = 12


@cache
def whole() -> dict[str, tuple[bytes, ...]]:
    """Whole files by what they are: houses, tasks of every kind without and with their key, answers to them."""
    examples = sorted((folder("scenarios") / "examples").glob("*.toml"))
    found = {"@house": tuple(path.read_bytes() for path in examples)}
    for kind in KINDS:
        found[f"@task-{kind}"] = _printed(kind), _printed(kind, "--with-key")
        found[f"@answer-{kind}"] = (_answer(found[f"@task-{kind}"][0]),)
    return {**found, "@": tuple(text for texts in found.values() for text in texts)}


def _printed(kind: str, *more: str) -> bytes:
    line = ["scenario", "--seed", "3", "--level", "1", "--kind", kind, "--format", "json", *more]
    return CliRunner().invoke(main, line).stdout_bytes


def _answer(task: bytes) -> bytes:
    read = json.loads(task)
    answers = {each["id"]: _first(each) for each in (*read.get("decisions", ()), *read.get("asks", ()))}
    document = {"format": "protection-trainer/answer", "kind": read.get("kind"), "scenario": read.get("id")}
    return json.dumps({**document, "answers": answers}).encode()


def _first(asked: dict[str, Any]) -> Any:
    """The first thing that may be answered."""
    offered = asked.get("options") or asked.get("choices") or [{"id": "12.5"}]
    return offered[0]["id"]


def content(chance: random.Random, what: str) -> bytes:
    """What one file holds."""
    way = chance.random()
    if way < 0.1:
        return chance.choice(RAW)
    text = chance.choice(whole()[what])
    if way < (0.4 if what == "@" else 0.75):
        return text
    return chance.choice(_WAYS)(chance, text)


def _cut(chance: random.Random, text: bytes) -> bytes:
    return text[: chance.randrange(len(text) + 1)]


def _bytes_changed(chance: random.Random, text: bytes) -> bytes:
    changed = bytearray(text)
    for _ in range(chance.choice((1, 3, 40))):
        changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def _line_changed(chance: random.Random, text: bytes) -> bytes:
    lines = text.split(b"\n")
    place = chance.randrange(len(lines))
    name = lines[place].partition(b"=")[0]
    odd = str(chance.choice(ODD_VALUES)).encode("utf-8", "surrogatepass")
    lines[place : place + 1] = chance.choice(([], [lines[place]] * 2, [name + b"= " + odd], [b"[[x]]"], [odd]))
    return b"\n".join(lines)


def _recoded(chance: random.Random, text: bytes) -> bytes:
    return text.decode("utf-8", "replace").encode(chance.choice(("utf-16", "utf-8-sig", "utf-32", "cp1252")), "replace")


def _value_changed(chance: random.Random, text: bytes) -> bytes:
    """One or a few values of a JSON document replaced, left out, or put in."""
    try:
        document = json.loads(text)
    except ValueError:
        return _line_changed(chance, text)
    for _ in range(chance.choice((1, 1, 2, 6))):
        _spoil(chance, document)
    return json.dumps(document).encode("utf-8", "surrogatepass")


def _spoil(chance: random.Random, document: Any) -> None:
    for _ in range(_DEEPEST):
        keys: Sequence[Any] = list(document) if isinstance(document, dict) else range(len(document))
        if not keys:
            return
        key = chance.choice(keys)
        inner = document[key]
        if isinstance(inner, dict | list) and inner and chance.random() < 0.8:
            document = inner
            continue
        if isinstance(document, dict) and chance.random() < 0.3:
            del document[key]
            document.update({str(chance.choice(NASTY)): inner} if chance.random() < 0.5 else {})
        else:
            document[key] = chance.choice(ODD_VALUES)
        return


_WAYS: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    _cut, _bytes_changed, _line_changed, _recoded, _value_changed, _value_changed, _value_changed,
)  # fmt: skip


def written(chance: random.Random, place: Path, what: str = "@") -> str:
    """The name of a file with such content; written over the one before."""
    place.write_bytes(content(chance, what))
    return str(place)
