"""The matrix of many people as a file, made by the job runner some hundred people at a time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Any

from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.papers.tables import Table
from trainer.services.people.here import Here
from trainer.services.programmes.matrix import MatrixDesk, Row
from trainer.services.programmes.records import Filter
from trainer.services.programmes.storage import Place
from trainer.web.files.asking import facts_of
from trainer.web.files.inside import InApplication, here_of_job
from trainer.web.files.tables import as_value, joined, kept, read, written
from trainer.web.programmes.files import matrix_table
from trainer.web.programmes.wired import programmes

_PEOPLE = 500


def payload_of(chosen: Filter, **more: str | int) -> Mapping[str, Any]:
    """What a list is narrowed by, as it is kept with a job."""
    return {"site": chosen.site_id, "role": chosen.trade_role_id, "search": chosen.search, **more}


def chosen_of(payload: Mapping[str, Any]) -> Filter:
    """What a job was narrowed by."""
    return Filter(
        site_id=str(payload.get("site", "")),
        trade_role_id=str(payload.get("role", "")),
        search=str(payload.get("search", "")),
    )


def matrix_parts(people: int) -> int:
    """In how many parts the rows are read."""
    return max(1, math.ceil(people / _PEOPLE))


def matrix_part(here: Here, chosen: Filter, number: int, parts: int, file: Callable[[str], bytes]) -> JobFile:
    """Some hundred rows; the last part takes whoever came since the parts were counted."""
    desk = programmes(MatrixDesk)
    before = read(file, _name(number - 1)).get("after") if number > 1 else None
    after: Place | None = (before[0], before[1]) if isinstance(before, list) else None
    if number > 1 and after is None:
        return kept(_name(number), {**as_value(matrix_table(desk.page(here, chosen, None, 1), ())), "after": None})
    page = desk.page(here, chosen, after, _PEOPLE)
    last = page.rows[-1].member if len(page.rows) == _PEOPLE else None
    place = (last.sort_name, last.id) if last else None
    rest = _rest(desk, here, chosen, place) if number == parts else ()
    return kept(_name(number), {**as_value(matrix_table(page, chain(page.rows, rest))), "after": place})


def _rest(desk: MatrixDesk, here: Here, chosen: Filter, after: Place | None) -> Iterator[Row]:
    while after is not None:
        rows = desk.page(here, chosen, after, _PEOPLE).rows
        yield from rows
        after = (rows[-1].member.sort_name, rows[-1].member.id) if len(rows) == _PEOPLE else None


def whole_matrix(parts: int, file: Callable[[str], bytes]) -> Table:
    """The table of all parts."""
    return joined([read(file, _name(number)) for number in range(1, parts + 1)])


def _name(number: int) -> str:
    return f"matrix-{number:04}.json"


class MatrixFile(InApplication):
    """People and objectives as CSV or XLSX."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """Some hundred people. *Raises* TrainerError."""
        with self._inside(job):
            return [matrix_part(here_of_job(job), chosen_of(job.payload), number, job.progress_total, file)]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """The table as one file."""
        made = written("matrix", str(job.payload.get("form")), [whole_matrix(job.progress_total, file)])
        return Outcome(files=(made,))

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return facts_of(job)
