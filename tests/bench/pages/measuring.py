"""Times and statements of pages."""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from tests.bench.pages.people import Seat, matrix_name
from tests.bench.pages.places import Address, addresses
from tests.persistence import heard
from tests.web.people.matrix import EVERYBODY, MATRIX
from trainer.persistence.database import Database

LET_IN = frozenset({200, 303, 304, 404})


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page of one role: milliseconds of the program from the request to the last byte, one after the other."""

    role: str
    endpoint: str
    path: str
    status: int
    size: int
    statements: int
    times_ms: tuple[float, ...]
    # What was computed for it, in this process and in a database server on this machine: what it takes where nobody
    # else keeps the machine busy and everything read is in memory.
    cpu_ms: float

    @property
    def first_ms(self) -> float:
        """The first time, with all that is made once."""
        return self.times_ms[0]

    @property
    def median_ms(self) -> float:
        """The middle one."""
        return statistics.median(self.times_ms)

    @property
    def worst_ms(self) -> float:
        """The longest."""
        return max(self.times_ms)


def _servers(database: Database) -> list[Path]:
    """Where the system tells how long the database server's processes for these connections have run."""
    if database.kind != "postgresql":
        return []
    query = "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND backend_type = 'client backend'"
    with database.reading() as session:
        places = [Path(f"/proc/{pid}/schedstat") for pid in session.execute(text(query)).scalars()]
    return [each for each in places if each.exists()]


def _computed_ms(servers: Sequence[Path]) -> float:
    nanoseconds = [int(each.read_text().split()[0]) for each in servers]
    return 1000 * time.process_time() + sum(nanoseconds) / 1e6


def pages(app: Flask, database: Database, seat: Seat, times: int, only: tuple[str, ...] = ("",)) -> Iterator[Page]:
    """Opens all that is open to a role by the matrix of roles; a refusal by what it names is no page and left out."""
    for address in addresses(app, database, seat.who):
        who_may = MATRIX.get(address.endpoint, EVERYBODY)
        if not address.endpoint.startswith(only) or matrix_name(seat.who.role) not in who_may:
            continue
        page = _opened(database, seat, address, times)
        if page.status in LET_IN:
            yield page


def _opened(database: Database, seat: Seat, address: Address, times: int) -> Page:
    took: list[float] = []
    computed: list[float] = []
    status, size, statements = 0, 0, 0
    for number in range(times):
        servers = _servers(database)
        with heard.statements() as said:
            began, busy = time.perf_counter(), _computed_ms(servers)
            status, size = _got(seat.client, address.path)
            took.append(1000 * (time.perf_counter() - began))
            computed.append(_computed_ms(servers) - busy)
        if number == 0 or len(said) < statements:
            statements = len(said)
        if status not in LET_IN:
            break
    return Page(
        role=seat.who.role,
        endpoint=address.endpoint,
        path=address.path,
        status=status,
        size=size,
        statements=statements,
        times_ms=tuple(took),
        cpu_ms=statistics.median(computed),
    )


def _got(client: FlaskClient, path: str) -> tuple[int, int]:
    with client.get(path, headers={"Accept-Encoding": "gzip"}) as answer:
        return answer.status_code, len(answer.data)
