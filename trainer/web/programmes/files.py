"""The matrix as a table for files; how files are written is that of marks, where no text is taken for a formula."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flask_babel import gettext

from trainer.services.objectives import objectives
from trainer.services.papers.tables import Cell, Table
from trainer.services.programmes.matrix import Matrix, Row
from trainer.services.programmes.words import Currency


def words_of_currency() -> Mapping[Currency, str]:
    """Each state in words."""
    return {
        Currency.CURRENT: gettext("current"),
        Currency.DUE_SOON: gettext("due soon"),
        Currency.OVERDUE: gettext("overdue"),
        Currency.NEVER: gettext("not yet assessed"),
        Currency.EXCUSED: gettext("excused"),
        Currency.NOT_REQUIRED: "",
    }


def matrix_table(matrix: Matrix, rows: Iterable[Row]) -> Table:
    """One row for each person, one column for each objective."""
    words, known = words_of_currency(), objectives()
    header = (
        gettext("name"),
        gettext("site"),
        gettext("works as"),
        *(f"{name} {known.get(name, '')}".strip() for name in matrix.columns),
    )
    return Table(name=gettext("matrix"), header=header, rows=tuple(_row(matrix, each, words) for each in rows))


def _row(matrix: Matrix, row: Row, words: Mapping[Currency, str]) -> tuple[Cell, ...]:
    member = row.member
    states = (words[row.cells.get(name, Currency.NOT_REQUIRED)] for name in matrix.columns)
    return (
        member.display_name,
        matrix.sites.get(member.site_id or "", ""),
        matrix.work.get(member.trade_role_id or "", ""),
        *states,
    )
