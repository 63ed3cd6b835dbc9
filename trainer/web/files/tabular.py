"""Tables as CSV and XLSX, in which no text is ever taken for a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from typing import Any

from trainer.services.papers.tables import Cell, Table

CSV_TYPE = "text/csv; charset=utf-8"
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# What a table program takes for the beginning of a formula, also after the marks that it skips.
_FORMULA = re.compile(r"[\s\x00]*[=+\-@|%]|[\t\r\n]")
# ECMA-376 (Part 1, 22.9.2.19): control characters have no place in the text of a cell.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def harmless(cell: Cell) -> Cell:
    """The cell; a text that could be taken for a formula begins with an apostrophe, as OWASP advises."""
    if not isinstance(cell, str):
        return cell
    text = _CONTROL.sub("", cell)
    return "'" + text if _FORMULA.match(text) else text


def as_csv(table: Table) -> bytes:
    """The table by RFC 4180, with the mark by which table programs know UTF-8."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    for row in (table.header, *table.rows):
        writer.writerow(["" if cell is None else harmless(cell) for cell in row])
    return text.getvalue().encode("utf-8-sig")


def as_xlsx(tables: Sequence[Table]) -> bytes:
    """One sheet for each table; texts are written as texts, whatever they begin with."""
    from openpyxl import Workbook  # noqa: PLC0415 - takes a while to load, and few pages ask for it

    book = Workbook(write_only=True)
    for table in tables:
        sheet = book.create_sheet(table.name)
        sheet.freeze_panes = "B2"
        for row in (table.header, *table.rows):
            sheet.append([_cell(sheet, cell) for cell in row])
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def _cell(sheet: Any, value: Cell) -> Any:
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415

    if value is None:
        return None
    cell = WriteOnlyCell(sheet, value=harmless(value))
    if isinstance(value, str):
        cell.data_type = "s"
    return cell
