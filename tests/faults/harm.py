"""What is done to the program: each kind takes the site and does one thing to it.

SIGKILL lets a process do nothing more (POSIX.1-2017, signal.h). PostgreSQL ends all its processes when one of them was
killed, and takes up its log again (postgresql.org, "Write-Ahead Logging" and "Shutting Down the Server").
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from dataclasses import dataclass

from tests.faults.cluster import Cluster
from tests.faults.places import NEEDS_ROOT, Place
from tests.faults.program import Program, killed

_FULL_S = 1.5
_STEPS_S = (-86_400, -3600, -90, -1, 0, 2, 75, 900, 7200, 86_400)


@dataclass(frozen=True)
class Site:
    """The running program, its place, and its PostgreSQL where it has one."""

    program: Program
    place: Place
    chance: random.Random
    cluster: Cluster | None = None


def kill_a_worker(site: Site) -> None:
    """One that may be answering."""
    _kill(site, site.program.parts(), 1)


def kill_all_workers(site: Site) -> None:
    """All at the same moment."""
    _kill(site, site.program.parts(), 99)


def kill_the_master(site: Site) -> None:
    """The process that keeps the workers."""
    master = site.program.master()
    _kill(site, [master] if master else [], 1)


def kill_the_job_runner(site: Site) -> None:
    """Runner or keeper."""
    _kill(site, site.program.helpers(), 1)


def kill_a_backend(site: Site) -> None:
    """The process of PostgreSQL that serves a connection."""
    assert site.cluster
    _kill(site, site.cluster.children(clients=True), 1)


def kill_a_background_process(site: Site) -> None:
    """A process of PostgreSQL that writes the log or the tables."""
    assert site.cluster
    _kill(site, site.cluster.children(clients=False), 1)


def kill_the_postmaster(site: Site) -> None:
    """The first process of PostgreSQL; its service starts it again."""
    assert site.cluster
    first = site.cluster.postmaster()
    _kill(site, [first] if first else [], 1)
    site.cluster.start()


def fill_the_disk(site: Site) -> None:
    """No room for a while, at any moment; then room again."""
    site.place.fill()
    try:
        time.sleep(_FULL_S)
    finally:
        site.place.empty()
    if site.cluster:
        # Without room for its log PostgreSQL gives up; its service starts it again.
        site.cluster.start()


def set_the_clock(site: Site) -> None:
    """The time of day jumps, back or on, by up to a day."""
    site.program.set_clock(site.chance.choice(_STEPS_S))


Harm = Callable[[Site], None]

# How often each is done among sixteen.
_ANYWHERE: dict[Harm, int] = {
    kill_a_worker: 6,
    kill_all_workers: 2,
    kill_the_master: 3,
    kill_the_job_runner: 1,
    set_the_clock: 2,
}
_OF_POSTGRESQL: dict[Harm, int] = {kill_a_backend: 2, kill_a_background_process: 1, kill_the_postmaster: 2}


def kinds(site: Site) -> tuple[dict[Harm, int], list[str]]:
    """What can be done here with how often, and what cannot with the reason."""
    known, left_out = dict(_ANYWHERE), []
    if site.cluster:
        known |= _OF_POSTGRESQL
    if site.place.is_small:
        known[fill_the_disk] = 2
    else:
        left_out.append(f"a full disk: {NEEDS_ROOT}")
    return known, left_out


def planned(known: dict[Harm, int], number: int, chance: random.Random) -> list[Harm]:
    """That many, each kind at least once, in an order of chance."""
    often = [harm for harm, times in known.items() for _ in range(times)]
    plan = [*known, *(chance.choice(often) for _ in range(max(0, number - len(known))))]
    chance.shuffle(plan)
    return plan


def _kill(site: Site, processes: list[int], most: int) -> None:
    for number in site.chance.sample(processes, min(most, len(processes))):
        killed(number)
