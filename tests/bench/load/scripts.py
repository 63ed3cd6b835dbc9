"""What ``wrk`` sends: single pages, scenario pages made anew, saves of people who sit."""

from __future__ import annotations

import http.client
import json
import re
import subprocess
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from tests.bench.load.crowd import Seat
from tests.bench.load.sitters import ITEM

# One connection in each thread: a script then knows which answer belongs to which request.
_THREADS = 4

_COUNTING = """
local threads = {}
setup = function(thread) thread:set("number", #threads); table.insert(threads, thread) end
done = function()
  local good, bad = 0, 0
  for _, thread in ipairs(threads) do good = good + thread:get("good"); bad = bad + thread:get("bad") end
  io.write("counted: " .. good .. " " .. bad .. "\\n")
end
good, bad = 0, 0
"""

_SIMPLE = """
response = function(status) if status == 200 then good = good + 1 else bad = bad + 1 end end
"""

_FIRST = """
local place = nil
request = function()
  if place then
    local path = place
    place = nil
    return wrk.format("GET", path, {Cookie = COOKIE})
  end
  return wrk.format("POST", "/practise", {Cookie = COOKIE, ["Content-Type"] = FORM}, BODY)
end
response = function(status, headers)
  if status == 303 then place = headers["Location"]
  elseif status == 200 then good = good + 1
  else bad = bad + 1 end
end
"""

_SAVES = """
local mine, turn = nil, 0
request = function()
  if not mine then
    mine = {}
    for index, seat in ipairs(SEATS) do if index % THREADS == number then table.insert(mine, seat) end end
  end
  turn = turn % #mine + 1
  local seat = mine[turn]
  seat.sequence = seat.sequence + 1
  local body = seat.body .. "&sequence=" .. seat.sequence .. "&choice-question=" .. seat.sequence
  return wrk.format("POST", seat.path, {Cookie = seat.cookie, ["Content-Type"] = FORM}, body)
end
response = function(status) if status == 200 then good = good + 1 else bad = bad + 1 end end
"""


@dataclass(frozen=True)
class Rate:
    """Answers as they should be in a second, and how many were not."""

    per_s: float
    failed: int


class Wrk:
    """Runs of one length."""

    def __init__(self, folder: Path, seconds: int) -> None:
        self._folder, self._seconds = folder, seconds
        self._saved = 0

    def simple(self, port: int, path: str) -> Rate:
        """One page over and over."""
        return self._run(port, path, _SIMPLE)

    def first(self, port: int, cookie: str, csrf_token: str, level: int) -> Rate:
        """A task made, stored and shown: both requests together count as one."""
        body = urlencode({"csrf_token": csrf_token, "level": level})
        return self._run(port, "/", _names(COOKIE=cookie, BODY=body) + _FIRST)

    def saves(self, port: int, seats: Sequence[Seat]) -> Rate:
        """Saves of many people in turn, each numbered after the ones before."""
        entries = []
        for seat in seats:
            body = urlencode({"csrf_token": seat.csrf_token, "sender": "page", "base": 0})
            path = f"{seat.path}/items/{ITEM}/save"
            known = {"path": path, "cookie": seat.cookie, "body": body}
            fields = ", ".join(f"{name} = {json.dumps(value)}" for name, value in known.items())
            entries.append(f"{{{fields}, sequence = {self._saved}}}")
        # More than any earlier run can have reached.
        self._saved += 1_000_000
        return self._run(port, "/", f"SEATS = {{{', '.join(entries)}}}\n{_names()}{_SAVES}")

    def _run(self, port: int, path: str, script: str) -> Rate:
        file = self._folder / "script.lua"
        file.write_text(_COUNTING + script)
        options = [f"-t{_THREADS}", f"-c{_THREADS}", f"-d{self._seconds}s", "--timeout", "30s", "-s", str(file)]
        command = ["wrk", *options, f"http://127.0.0.1:{port}{path}"]
        said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
        good, bad = re.search(r"counted: (\d+) (\d+)", said).groups()  # type: ignore[union-attr]  # it must be there
        seconds = _seconds(re.search(r"requests in ([\d.]+)(m?s|m)", said))
        errors = re.search(r"Socket errors: connect (\d+), read (\d+), write (\d+), timeout (\d+)", said)
        broken = sum(int(each) for each in errors.groups()) if errors else 0
        return Rate(int(good) / seconds, int(bad) + broken)


def _names(**values: str) -> str:
    form = 'FORM = "application/x-www-form-urlencoded"'
    given = "".join(f"{name} = {json.dumps(value)}\n" for name, value in values.items())
    return f"{form}\nTHREADS = {_THREADS}\n{given}"


def _seconds(found: re.Match[str] | None) -> float:
    assert found is not None
    return float(found[1]) * {"ms": 0.001, "s": 1.0, "m": 60.0}[found[2]]


class Browser:
    """Somebody who practises without an account and has a record."""

    def __init__(self, port: int, level: int) -> None:
        self._port, self._level = port, level
        self.cookie = ""
        page = self._ask("GET", "/practise")[1]
        self.csrf_token = re.search(r'name="csrf_token" value="([^"]*)"', page)[1]  # type: ignore[index]
        self.stored_page()

    def stored_page(self) -> str:
        """The path of a task that is made and was shown once."""
        form = urlencode({"csrf_token": self.csrf_token, "level": self._level})
        status, _, place = self._ask("POST", "/practise", form)
        assert status == 303
        self.page(place)
        return place

    def page(self, path: str) -> bytes:
        """The page, as it is without compression."""
        status, text, _ = self._ask("GET", path)
        assert status == 200
        return text.encode()

    def _ask(self, method: str, path: str, form: str | None = None) -> tuple[int, str, str]:
        headers = {"Cookie": self.cookie} if self.cookie else {}
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        with closing(http.client.HTTPConnection("127.0.0.1", self._port, timeout=60)) as connection:
            connection.request(method, path, form, headers)
            answer = connection.getresponse()
            text = answer.read().decode()
        for each in answer.headers.get_all("Set-Cookie") or []:
            self.cookie = each.partition(";")[0]
        return answer.status, text, answer.headers.get("Location") or ""
