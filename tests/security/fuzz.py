"""A generator of requests: half sensible, half hostile, the same for the same seed."""

from __future__ import annotations

import json
import logging
import random
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from flask import Flask
from werkzeug.test import TestResponse

from tests.security.world import NEVER, ROLES, World, seated

# Would stand in a page as it is only where somebody forgot to escape it.
MARK = "<zq1 onload=x>\"'"
HOST = "attacker.example"
NASTY: tuple[str, ...] = (
    "", " ", "0", "1", "-1", "2", "9" * 40, "1e309", "-1e-400", "NaN", "Infinity", "0x10", "1_0",
    "٣", "½", "1,5", "true",
    MARK, f"http://{HOST}/", f"//{HOST}", f"\\\\{HOST}", f"/\\{HOST}", "javascript:alert(1)", "data:text/html,x",
    "' OR '1'='1' --", '"; DROP TABLE person; --', "1; SELECT pg_sleep(9)", "*", "%", "_", "${7*7}", "{{7*7}}",
    "{% raise %}", "%s%n%d", "{0.__class__}", "../../../etc/passwd", "..\\..\\x", "/etc/passwd",
    "C:\\x", "file:///etc/passwd",
    "a\r\nSet-Cookie: x=y", "a\nb", "\x00", "\x01\x1f\x7f", "\u202e\u2066", "\ufeff",
    "\ud7ff\ue000", "İß\u0301" * 20, "𝒳" * 50,
    "a" * 300, "a" * 5000, "=cmd|' /C calc'!A0", "+1", "-1+1", "@SUM(1)", "\t=1",
    "2026-02-30T25:61", "0001-01-01T00:00",
    "9999-12-31T23:59:59", "2026-11-02T12:00", "2026-11-02", "[[[[", '{"a":' * 50, "null", "[]", "{}", '{"d1":"B"}',
    "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/passwd'>]>", "PK\x03\x04", "()" * 200, "(a+)+$", "A4:2026", "LO05",
    "RCD-01", "learner", "administrator", "lecturer", "graded", "practice", "open", "closed",
    "released", "draft", "type_b",
)  # fmt: skip
HEADERS: tuple[tuple[str, str], ...] = (
    ("Host", HOST), ("X-Forwarded-Host", HOST), ("X-Forwarded-Proto", "https"), ("X-Forwarded-For", "127.0.0.1"),
    ("X-Original-URL", "/operator/organisations"), ("X-HTTP-Method-Override", "DELETE"), ("Accept-Language", "x" * 500),
    ("Accept-Encoding", "gzip;q=nan, *;q=0"), ("Accept", "*/*;q=x"), ("Referer",
    f"http://{HOST}/"), ("Origin", f"http://{HOST}"),
    ("Range", "bytes=5-1,-0,9999999999999999999-"), ("If-None-Match", 'W/"\\"'),
    ("If-Modified-Since", "Tue, 99 Foo 0000"),
    ("Cookie", "trainer=broken; trainer=.eJw.x.y; session=\x80"), ("Authorization", "Basic !!!"), ("User-Agent", MARK),
    ("HX-Request", "true"), ("Content-Type", "multipart/form-data; boundary="), ("Content-Type", "application/json"),
    ("Content-Type", "text/plain; charset=utf-7"), ("Content-Type",
    "application/x-www-form-urlencoded; charset=utf-16"),
    ("Expect", "100-continue"), ("X-CSRFToken", "x"), ("Content-Encoding", "gzip"), ("Sec-Fetch-Site", "cross-site"),
)  # fmt: skip
_NAMES = re.compile(
    r"""(?:form|args|values|files|text|data)\.?(?:get|getlist|pop)?\(?\[?\(?["'](\w+)["']"""
    r"""|^\s+(\w+) = \w*Field\(|name="([\w-]+)\"""",
    re.MULTILINE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """One request as it was sent, so that a failure can be sent again."""

    method: str
    path: str
    who: str
    query: Any = None
    data: Any = None
    headers: Sequence[tuple[str, str]] = ()

    def send(self, app: Flask, world: World) -> TestResponse:
        """The answer."""
        client = seated(app, world.seats[self.who])
        return client.open(
            self.path, method=self.method, query_string=self.query, data=self.data, headers=list(self.headers),
            buffered=True,
        )  # fmt: skip


class Caught(logging.Handler):
    """Exceptions that a page failed with."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if record.exc_info and record.exc_info[1]:
            error = record.exc_info[1]
            trace = error.__traceback__
            while trace is not None and trace.tb_next is not None:
                trace = trace.tb_next
            place = f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}" if trace else ""
            self.found.append(f"{type(error).__name__}: {error} at {place}")


def requests(app: Flask, world: World, endpoint: str, method: str, seed: int) -> Iterator[Request]:
    """Requests to one route without end."""
    chance = random.Random(f"{endpoint} {method} {seed}")
    rule = next(each for each in app.url_map.iter_rules(endpoint) if method in (each.methods or set()))
    names = fields_of(app, endpoint)
    adapter = app.url_map.bind("localhost")
    while True:
        who = chance.choice(ROLES) if chance.random() < 0.5 else _right(world, endpoint)
        parts = {name: _part(chance, world, name) for name in rule.arguments}
        try:
            path = adapter.build(endpoint, parts, method=method)
        except Exception:  # noqa: BLE001 - a part that the converter refuses builds no address
            path = adapter.build(endpoint, {name: world.ids[name] for name in rule.arguments}, method=method)
        yield _request(chance, world, names, method, path, who)


def _request(chance: random.Random, world: World, names: Sequence[str], method: str, path: str, who: str) -> Request:
    headers = [chance.choice(HEADERS) for _ in range(chance.choice((0, 0, 0, 0, 1, 3)))]
    fields = _fields(chance, world, names)
    if method == "GET":
        return Request(method=method, path=path, who=who, query=fields, headers=headers)
    query = _fields(chance, world, names) if chance.random() < 0.1 else None
    way = chance.random()
    token = world.seats[who].token if chance.random() < 0.95 else _line(chance)
    if way < 0.15:
        headers += [("X-CSRFToken", token), ("Content-Type", "application/json")]
        return Request(method=method, path=path, who=who, query=query, data=_json(chance, names), headers=headers)
    if way < 0.25:
        headers += [("X-CSRFToken", token)]
        data = bytes(chance.randrange(256) for _ in range(chance.choice((0, 1, 50, 3000))))
        return Request(method=method, path=path, who=who, query=query, data=data, headers=headers)
    data: dict[str, Any] = {**fields, "csrf_token": token}
    if way < 0.4:
        data["file"] = (BytesIO(_file(chance)), _line(chance))
        data.setdefault("roster", (BytesIO(_file(chance)), "x.csv"))
    return Request(method=method, path=path, who=who, query=query, data=data, headers=headers)


def _right(world: World, endpoint: str) -> str:
    if endpoint.startswith(("sittings.", "refreshers.", "records.")):
        return "college-learner"
    if endpoint.startswith("operator."):
        return "operator"
    return "college-training_manager" if endpoint.startswith("programmes.") else "college-administrator"


def _part(chance: random.Random, world: World, name: str) -> str | int:
    if chance.random() < 0.75:
        value = world.ids[name]
        if name == "page_id":
            value = chance.choice(list(world.pages.values()))
        if name in {"variant", "position"}:
            return chance.choice((0, 1, 2, 3, 4, 5, 99, 10**30))
        return value
    return world.others.get(name) or "x" if chance.random() < 0.3 else chance.choice(NASTY).replace("/", "") or "x"


def _fields(chance: random.Random, world: World, names: Sequence[str]) -> dict[str, Any]:
    if not names:
        return {}
    some = chance.sample(names, min(len(names), chance.choice((0, 1, 3, 8, 30))))
    return {name: _value(chance, world) for name in some}


def _value(chance: random.Random, world: World) -> Any:
    way = chance.random()
    if way < 0.6:
        return chance.choice(NASTY)
    if way < 0.75:
        return chance.choice(list(world.ids.values()))
    if way < 0.85:
        return [chance.choice(NASTY) for _ in range(chance.choice((0, 2, 3)))]
    return "".join(chr(chance.choice((chance.randrange(32, 127), chance.randrange(0xD7FF)))) for _ in range(12))


def _json(chance: random.Random, names: Sequence[str]) -> bytes:
    def value(depth: int) -> Any:
        way = chance.randrange(9)
        if way < 2 and depth < 4:
            keys = [*names, "answers", "certainty", "sequence", "sender", "d1"]
            return {chance.choice(keys): value(depth + 1) for _ in range(3)}
        if way == 2 and depth < 4:
            return [value(depth + 1) for _ in range(3)]
        return chance.choice((None, True, -1, 10**400, 1e308, "", "x", *NASTY[:40]))

    text = json.dumps(value(0))
    odd = ("[" * 20_000, '{"a":' * 5_000, "1" * 5_000, "NaN", '"\\ud800"', text[: len(text) // 2], "\ufeff" + text)
    return (chance.choice(odd) if chance.random() < 0.3 else text).encode("utf-8", "surrogatepass")


def _line(chance: random.Random) -> str:
    # The client of the tests itself refuses line breaks in headers and names of files.
    return "".join(sign for sign in chance.choice(NASTY)[:200] if sign.isprintable()) or "x.csv"


def _file(chance: random.Random) -> bytes:
    heads = ("name,email,reference,group\n", "name;group\n", "", "name\tgroup\n", "Name,NAME\n", '"name')
    lines = "".join(f"{chance.choice(NASTY)},{chance.choice(NASTY)},{chance.choice(NASTY)}\n" for _ in range(5))
    text = chance.choice(heads) + lines
    way = chance.choice(("utf-8", "utf-16", "utf-8-sig", "raw", "zip"))
    if way == "raw":
        return bytes(chance.randrange(256) for _ in range(200))
    return (
        b"PK\x03\x04" + b"\0" * 200
        if way == "zip"
        else text.encode(way, "surrogatepass" if way == "utf-8" else "replace")
    )


@cache
def _names_in(path: Path) -> frozenset[str]:
    found = _NAMES.findall(path.read_text("utf-8"))
    return frozenset(name for groups in found for name in groups if name and name not in {"csrf_token", "viewport"})


def fields_of(app: Flask, endpoint: str) -> list[str]:
    """Names of fields that a page's package and its templates know."""
    module = sys.modules[app.view_functions[endpoint].__module__]
    if module.__file__ is None:
        return []
    folder = Path(module.__file__).parent
    files = [*folder.glob("*.py")] if "trainer" in folder.parts else []
    pages = Path(app.jinja_loader.searchpath[0]) if app.jinja_loader else folder  # type: ignore[attr-defined]
    files += [*(pages / endpoint.partition(".")[0]).glob("*.html"), *(pages / folder.name).glob("*.html")]
    return sorted(set().union(*(_names_in(path) for path in files)) if files else set())


def faults(answer: TestResponse) -> list[str]:
    """What is wrong with an answer, whatever was asked."""
    to = answer.headers.get("Location", "")
    text = answer.get_data()
    held = {
        "it failed": answer.status_code < 500,
        "no policy": "frame-ancestors 'none'" in answer.headers.get("Content-Security-Policy", ""),
        f"leads away to {to}": not to or (to.startswith("/") and not to.startswith(("//", "/\\"))),
        "not escaped": MARK[:14].encode() not in text or answer.mimetype not in {"text/html", "image/svg+xml"},
        "names the attacker's host": f"http://{HOST}/join".encode() not in text,
        "a cookie was put in": "x=y" not in answer.headers.get("Set-Cookie", ""),
        **{f"holds {each[:20]}": each.encode() not in text for each in NEVER},
    }
    return [what for what, holds in held.items() if not holds]
