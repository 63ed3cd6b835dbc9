"""Saves at a steady pace, whatever the server does: the sender never waits for an answer before the next one is due.

The time of a save counts from when it was due, not from when it could be sent.
"""

from __future__ import annotations

import asyncio
import random
import resource
import statistics
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from urllib.parse import urlencode

from tests.bench.load.sitters import ITEM, Sitter


@dataclass
class Told:
    """What came of a run."""

    saves_ms: list[float] = field(default_factory=list)
    pages_ms: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    late_ms: list[float] = field(default_factory=list)
    sender_cpu_s: float = 0.0

    def text(self) -> str:
        """One line for each kind."""
        return "\n".join(
            [
                *(f"{name}: {_spread(took)}" for name, took in (("saves", self.saves_ms), ("pages", self.pages_ms))),
                f"sent later than due: {_spread(self.late_ms)}",
                f"errors: {len(self.errors)} {sorted(set(self.errors))[:3]}",
                f"the sender itself took {self.sender_cpu_s:.1f} s of a processor",
            ]
        )


def _spread(took: Sequence[float]) -> str:
    if len(took) < 2:
        return f"{len(took)}"
    cuts = statistics.quantiles(took, n=100)
    return (
        f"{len(took)}, median {cuts[49]:.0f} ms, p95 {cuts[94]:.0f} ms, p99 {cuts[98]:.0f} ms, most {max(took):.0f} ms"
    )


def paced(sitters: Sequence[Sitter], *, seconds: float, save_every_s: float = 10.0, page_every_s: float = 60.0) -> Told:
    """Each sitter saves and opens a page at its own regular times, spread evenly at random over the period."""
    told = Told()
    before = _processor_s()
    # In a thread of its own: a browser driven by an earlier test leaves its event loop running in this one.
    with ThreadPoolExecutor(1) as own:
        own.submit(asyncio.run, _all(sitters, told, seconds, save_every_s, page_every_s)).result()
    told.sender_cpu_s = _processor_s() - before
    return told


def _processor_s() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


async def _all(sitters: Sequence[Sitter], told: Told, seconds: float, save_every_s: float, page_every_s: float) -> None:
    chance = random.Random(len(sitters))
    start = time.perf_counter() + 0.5
    due = []
    for sitter in sitters:
        for kind, every in (("save", save_every_s), ("page", page_every_s)):
            moment = chance.uniform(0, every)
            while moment < seconds:
                due.append((moment, kind, sitter))
                moment += every
    due.sort(key=lambda each: each[0])
    tasks = []
    for moment, kind, sitter in due:
        await asyncio.sleep(max(0.0, start + moment - time.perf_counter()))
        tasks.append(asyncio.create_task(_one(sitter, kind, start + moment, told)))
    await asyncio.gather(*tasks)


async def _one(sitter: Sitter, kind: str, due: float, told: Told) -> None:
    told.late_ms.append(1000 * (time.perf_counter() - due))
    try:
        if kind == "save":
            path, fields = sitter.next_save()
            status, text = await _asked(sitter, "POST", path, urlencode(fields))
            if status == 200:
                sitter.told(text)
        else:
            status, _ = await _asked(sitter, "GET", f"{sitter.path}/items/{ITEM}", "")
    except (TimeoutError, OSError, ValueError, IndexError) as error:
        told.errors.append(type(error).__name__)
        return
    if status != 200:
        told.errors.append(f"{kind} {status}")
    (told.saves_ms if kind == "save" else told.pages_ms).append(1000 * (time.perf_counter() - due))


async def _asked(sitter: Sitter, method: str, path: str, body: str) -> tuple[int, str]:
    reader, writer = await asyncio.wait_for(asyncio.open_connection("127.0.0.1", sitter.port), 30)
    try:
        lines = [f"{method} {path} HTTP/1.1", "Host: 127.0.0.1", "Connection: close"]
        lines += [f"{name}: {value}" for name, value in sitter.headers(bool(body)).items()]
        lines += [f"Content-Length: {len(body)}"] if body else []
        writer.write(("\r\n".join(lines) + "\r\n\r\n" + body).encode())
        answer = await asyncio.wait_for(reader.read(), 60)
    finally:
        writer.close()
    head, _, text = answer.partition(b"\r\n\r\n")
    return int(head.split(b" ", 2)[1]), text.decode()
