"""What the machine did during a run: its disk, and where its processors' time went, in each phase."""

from __future__ import annotations

import math
import os
import queue
import statistics
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

SERVERS = "servers"
"""The family that is told in parts: workers, the hashes that their threads work out, and the job runner."""
_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True)
class Look:
    """What had been used at a moment, by name."""

    at_s: float
    busy_s: float
    ours_s: Mapping[str, float]


@dataclass
class Watch:
    """Looks at the disk once a second while a block runs, and at the processors when a phase begins."""

    flushes_ms: list[float] = field(default_factory=list)
    looks: list[tuple[str, Look]] = field(default_factory=list)
    _begun: queue.SimpleQueue[str | None] = field(default_factory=queue.SimpleQueue)

    def phase(self, name: str) -> None:
        """What goes on from now on; who says so does not wait for the look."""
        self._begun.put(name)

    def text(self) -> str:
        """One line for the disk, and one for the processors in each phase and in all."""
        whole = [] if len(self.looks) == 2 else [("in all", self.looks[0][1], self.looks[-1][1])]
        spans = [(name, start, end) for (name, start), (_, end) in zip(self.looks, self.looks[1:], strict=False)]
        return "\n".join(
            [f"fdatasync of 4 KiB meanwhile: {spread(self.flushes_ms)}", *(_span(*each) for each in [*spans, *whole])]
        )

    def look_on(self, folder: Path, families: Mapping[str, int]) -> None:
        """Until the phase None."""
        with (folder / "flushes").open("wb") as file:
            while True:
                try:
                    name = self._begun.get(timeout=1.0)
                except queue.Empty:
                    self.flushes_ms.append(_flush_ms(file.fileno()))
                    continue
                self.looks.append((name or "", _look(families)))
                if name is None:
                    return


@contextmanager
def watched(folder: Path, families: Mapping[str, int], first: str = "before") -> Iterator[Watch]:
    """Watches disk and processors; ``families`` are processes that count with all that descend from them."""
    watch = Watch()
    thread = threading.Thread(target=watch.look_on, args=(folder, families), daemon=True)
    watch.phase(first)
    thread.start()
    try:
        yield watch
    finally:
        watch._begun.put(None)
        thread.join()


def _span(name: str, start: Look, end: Look) -> str:
    count, seconds = os.cpu_count() or 1, end.at_s - start.at_s
    used = {each: max(0.0, taken - start.ours_s.get(each, 0.0)) for each, taken in end.ours_s.items()}
    busy_s = end.busy_s - start.busy_s
    used["everything else"] = max(0.0, busy_s - math.fsum(used.values()))
    used["idle"] = max(0.0, count * seconds - busy_s)
    shares = ", ".join(f"{each} {taken:.1f} s" for each, taken in used.items())
    return f"{name}: {count} processors for {seconds:.1f} s: {shares}"


def spread(took_ms: Sequence[float]) -> str:
    """Number, median and the slow end."""
    if len(took_ms) < 2:
        return f"{len(took_ms)}"
    cuts = statistics.quantiles(took_ms, n=100)
    words = f"median {cuts[49]:.1f} ms, p95 {cuts[94]:.1f} ms, p99 {cuts[98]:.1f} ms, most {max(took_ms):.0f} ms"
    return f"{len(took_ms)}, {words}"


def _flush_ms(file: int) -> float:
    os.write(file, b"x" * 4096)
    start = time.perf_counter()
    os.fdatasync(file)
    return 1000 * (time.perf_counter() - start)


def _look(families: Mapping[str, int]) -> Look:
    return Look(time.perf_counter(), _busy_s(), _families_s(families))


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
            fields = _fields(place)
            pid = int(place.parent.name)
            parents[pid], ticks[pid] = int(fields[1]), sum(int(each) for each in fields[11:15])
    heads = {pid: name for name, pid in families.items()}
    used = dict.fromkeys((name for name in families if name != SERVERS), 0.0)
    for pid, number in ticks.items():
        name = _family_of(pid, heads, parents)
        parts = _parts(pid, number, families[SERVERS]) if name == SERVERS else {name: number}
        for part, taken in parts.items():
            if part is not None:
                used[part] = used.get(part, 0.0) + taken / _TICKS
    return used


def _parts(pid: int, ticks: int, head: int) -> dict[str, int]:
    """A process of the server: what its first thread took, and the others, which do nothing but hash passwords."""
    try:
        if Path(f"/proc/{pid}/cmdline").read_bytes() != Path(f"/proc/{head}/cmdline").read_bytes():
            return {"job runner": ticks}
        whole, first = (
            sum(int(each) for each in _fields(Path(at))[11:13])
            for at in (f"/proc/{pid}/stat", f"/proc/{pid}/task/{pid}/stat")
        )
    except (OSError, IndexError, ValueError):
        return {"workers": ticks}
    hashes = max(0, whole - first)
    return {"workers": ticks - hashes, "hashes": hashes}


def _fields(place: Path) -> list[str]:
    """From the state on. *Source* proc_pid_stat(5): the name before it may hold anything but is in brackets."""
    return place.read_text().rpartition(")")[2].split()


def _family_of(pid: int, heads: Mapping[int, str], parents: Mapping[int, int]) -> str | None:
    at: int | None = pid
    while at is not None and at not in heads:
        at = parents.get(at)
    return None if at is None else heads[at]
