"""Marks and figures as plain tables, for files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trainer.services.papers.counting import passed, percent
from trainer.services.papers.figures import ObjectiveTable
from trainer.services.papers.marking import Sheet
from trainer.services.papers.records import SittingLine

Cell = str | int | float | None
_IN_ALL = ("marks", "of", "percent", "result", "a danger would remain")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with a name; the header is a row of its own."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def marks_table(sheet: Sheet) -> Table:
    """One row for each sitting: number, after the release also the name, marks item by item, in all, in percent."""
    positions = sorted({each.graded.position for items in sheet.items.values() for each in items})
    header = ("candidate", *(() if sheet.is_anonymous else ("name",)), "attempt")
    rows = []
    for line in sheet.lines:
        own = {each.graded.position: each for each in sheet.items.get(line.id, ())}
        named: tuple[Cell, ...] = () if sheet.is_anonymous else (line.display_name,)
        items: tuple[Cell, ...] = tuple(
            None if place not in own or own[place].is_voided else own[place].marks for place in positions
        )
        result = {True: "pass", False: "fail", None: None}[passed(sheet.paper, line)]
        share = percent(line.marks, line.marks_available)
        # Beside a share above the pass mark it says why the result is a fail.
        danger = {True: "no", False: "yes", None: None}[line.safe_to_energise]
        told = (line.marks, line.marks_available, share, result, danger)
        rows.append((candidate(line), *named, line.number, *items, *told))
    items_header = tuple(f"task {place}" for place in positions)
    return Table(name="marks", header=(*header, *items_header, *_IN_ALL), rows=tuple(rows))


def objectives_table(table: ObjectiveTable, words: Mapping[str, str], *, names: bool) -> Table:
    """One row for each sitting, one column for each objective, in percent."""
    rows = tuple(
        (each.display_name if names else candidate(each), *(table.percent(each.id, one) for one in table.objectives))
        for each in table.lines
    )
    header = ("name" if names else "candidate", *(f"{one} {words.get(one, '')}".strip() for one in table.objectives))
    return Table(name="objectives", header=header, rows=rows)


def figures_table(figures: Mapping[str, Any]) -> Table:
    """One row for each item."""
    rows = tuple(
        (each["position"], each["marks"], each["sittings"], each["facility"], each["discrimination"])
        for each in figures["items"]
    )
    return Table(name="items", header=("task", "marks", "sittings", "facility", "discrimination"), rows=rows)


def candidate(line: SittingLine) -> str:
    """Under which number somebody is marked."""
    return line.candidate_number or line.id[:6]


def tables_of(
    sheet: Sheet, table: ObjectiveTable, figures: Mapping[str, Any], words: Mapping[str, str]
) -> Sequence[Table]:
    """Everything of a paper that goes into a file."""
    return marks_table(sheet), objectives_table(table, words, names=not sheet.is_anonymous), figures_table(figures)
