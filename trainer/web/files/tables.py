"""Tables on their way through parts of a job: kept as JSON, put together at the end."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from trainer.domain.errors import Problem
from trainer.services.jobs.records import JobFile, Outcome
from trainer.services.papers.tables import Table
from trainer.web.files.inside import FileError
from trainer.web.files.tabular import CSV_TYPE, XLSX_TYPE, as_csv, as_xlsx

JSON_TYPE = "application/json"
PDF_TYPE = "application/pdf"


def kept(name: str, value: object) -> JobFile:
    """A value that a later part reads."""
    return JobFile(name=name, media_type=JSON_TYPE, content=json.dumps(value, ensure_ascii=False).encode())


def as_value(table: Table) -> dict[str, object]:
    """A table as JSON holds it."""
    return {"name": table.name, "header": table.header, "rows": table.rows}


def joined(parts: Sequence[dict[str, object]]) -> Table:
    """The table whose rows came in parts."""
    first = parts[0]
    rows = tuple(tuple(row) for part in parts for row in _listed(part["rows"]))
    return Table(name=str(first["name"]), header=tuple(map(str, _listed(first["header"]))), rows=rows)


def _listed(value: object) -> Sequence[Sequence[str | int | float | None]]:
    return value if isinstance(value, list | tuple) else ()


def read(file: Callable[[str], bytes], name: str) -> dict[str, object]:
    """What an earlier part kept. *Raises* FileError where it is no longer there."""
    content = file(name)
    if not content:
        raise FileError(Problem(path="parts", problem="one is no longer there; ask for the file once more"))
    found: dict[str, object] = json.loads(content)
    return found


def written(name: str, form: str, tables: Sequence[Table]) -> JobFile:
    """The file: the first table as CSV, or all as sheets of a workbook. No text is taken for a formula in either."""
    if form == "csv":
        return JobFile(name=f"{name}.csv", media_type=CSV_TYPE, content=as_csv(tables[0]))
    return JobFile(name=f"{name}.xlsx", media_type=XLSX_TYPE, content=as_xlsx(tables))


def taken_over(name: str, file: Callable[[str], bytes]) -> Outcome:
    """A file that its only part made, under its own name. *Raises* FileError where it is no longer there."""
    content = file(f"part-{name}")
    if not content:
        raise FileError(Problem(path="file", problem="is no longer there; ask for it once more"))
    kind = CSV_TYPE if name.endswith(".csv") else XLSX_TYPE if name.endswith(".xlsx") else PDF_TYPE
    return Outcome(files=(JobFile(name=name, media_type=kind, content=content),))
