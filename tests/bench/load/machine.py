"""What the machine did during a run: its disk, and where its processors' time went."""

from __future__ import annotations

import math
import os
import statistics
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass
class Watch:
    """Looks once a second while a block runs."""

    flushes_ms: list[float] = field(default_factory=list)
    seconds: float = 0.0
    busy_s: float = 0.0
    ours_s: dict[str, float] = field(default_factory=dict)

    def text(self) -> str:
        """One line for the disk and one for the processors."""
        count = os.cpu_count() or 1
        other = max(0.0, self.busy_s - math.fsum(self.ours_s.values()))
        shares = ", ".join(f"{name} {taken:.0f} s" for name, taken in {**self.ours_s, "everything else": other}.items())
        return (
            f"fdatasync of 4 KiB meanwhile: {spread(self.flushes_ms)}\n"
            f"{count} processors for {self.seconds:.0f} s, so {count * self.seconds:.0f} s in all: {shares}"
        )


@contextmanager
def watched(folder: Path, families: Mapping[str, int]) -> Iterator[Watch]:
    """Watches disk and processors; ``families`` are processes that count with all that descend from them."""
    watch, over = Watch(), threading.Event()
    thread = threading.Thread(target=_flushes, args=(folder, watch, over), daemon=True)
    started, busy, ours = time.perf_counter(), _busy_s(), _families_s(families)
    thread.start()
    try:
        yield watch
    finally:
        over.set()
        thread.join()
        watch.seconds = time.perf_counter() - started
        watch.busy_s = _busy_s() - busy
        watch.ours_s = {name: used - ours[name] for name, used in _families_s(families).items()}


def spread(took_ms: Sequence[float]) -> str:
    """Number, median and the slow end."""
    if len(took_ms) < 2:
        return f"{len(took_ms)}"
    cuts = statistics.quantiles(took_ms, n=100)
    words = f"median {cuts[49]:.1f} ms, p95 {cuts[94]:.1f} ms, p99 {cuts[98]:.1f} ms, most {max(took_ms):.0f} ms"
    return f"{len(took_ms)}, {words}"


def _flushes(folder: Path, watch: Watch, over: threading.Event) -> None:
    with (folder / "flushes").open("wb") as file:
        while not over.wait(1.0):
            file.write(b"x" * 4096)
            file.flush()
            start = time.perf_counter()
            os.fdatasync(file.fileno())
            watch.flushes_ms.append(1000 * (time.perf_counter() - start))


def _busy_s() -> float:
    """Processor time that was not idle, of the whole machine. *Source* proc_stat(5)."""
    numbers = [int(each) for each in Path("/proc/stat").read_text().split("\n", 1)[0].split()[1:]]
    idle = numbers[3] + numbers[4]
    return (sum(numbers[:8]) - idle) / _TICKS


def _families_s(families: Mapping[str, int]) -> dict[str, float]:
    """Processor time of each family, of the members that ended and were waited for too; each counts once."""
    parents: dict[int, int] = {}
    ticks: dict[int, int] = {}
    for place in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError, IndexError, ValueError):
            fields = place.read_text().rpartition(")")[2].split()
            pid = int(place.parent.name)
            parents[pid], ticks[pid] = int(fields[1]), sum(int(each) for each in fields[11:15])
    heads = {pid: name for name, pid in families.items()}
    used = dict.fromkeys(families, 0.0)
    for pid, number in ticks.items():
        name = _family_of(pid, heads, parents)
        if name is not None:
            used[name] += number / _TICKS
    return used


def _family_of(pid: int, heads: Mapping[int, str], parents: Mapping[int, int]) -> str | None:
    at: int | None = pid
    while at is not None and at not in heads:
        at = parents.get(at)
    return None if at is None else heads[at]
