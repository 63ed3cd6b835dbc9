"""One rule as a page of text: the same parts as on its web page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from trainer.domain.citations import Citation
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.explain.numbers import quantity
from trainer.services.rulebook.editions import changes_of
from trainer.services.rulebook.limit_tables import LimitTable, grid_of, limit_table
from trainer.services.rulebook.pages import page_texts

_WIDTH = 88


def rule_page(rule: Rule, edition: Edition) -> str:
    """Everything that is said of a rule, with the values that it compares with."""
    text = page_texts()[rule.id]
    parts = [
        f"{rule.id}  {rule.statement}",
        _headed("Demands", text.condition),
        _headed("Why", rule.why),
        _headed("Remedy", rule.remedy),
        _headed("Formula", rule.formula),
        *(line for path in text.limits for line in _values(limit_table(path, edition))),
        _headed("Assumes", rule.assumes),
        _headed("Not covered", " ".join(text.not_covered)),
        _headed("At stake", rule.consequence.value),
        _headed("Stated in", _stated(rule.citation, edition)),
        _headed("International", rule.iec),
        _headed("Holds in", ", ".join(sorted(each.value for each in rule.editions))),
        *(_headed(f"Changed by {each.edition}", f"{each.what} ({each.status})") for each in changes_of(rule.id)),
        _headed("Objectives", ", ".join(rule.objectives)),
    ]
    return "\n".join(part for part in parts if part)


def _values(table: LimitTable) -> Iterator[str]:
    """A limit as lines: a single value in one, a table row by row."""
    source = table.citation.status.value if table.citation else "status by row"
    if not table.columns:
        yield _headed("Value", f"{table.title} {_amount(table)} ({source})")
        return
    grid = grid_of(table)
    yield _headed("Table", f"{table.title}, {table.unit or 'value'} ({source})")
    lines = [
        (*grid.keys, *grid.columns),
        *((*keys, *(value or "-" for value in values)) for keys, values in grid.lines),
    ]
    widths = [max(len(line[place]) for line in lines) for place in range(len(lines[0]))]
    for line in lines:
        yield "    " + "  ".join(f"{each:{width}}" for each, width in zip(line, widths, strict=True)).rstrip()


def _amount(table: LimitTable) -> str:
    return quantity(float(table.rows[0].value), table.unit).replace("\u00a0", " ")


def _stated(citation: Citation, edition: Edition) -> str:
    text = f"{citation.publication}, {citation.clause} ({citation.status.value})"
    if citation.compare_with_current_book(edition):
        text += f"; number as in {citation.edition}, compare with the current book"
    if citation.checked_on is None:
        text += "; not yet compared with the printed clause"
    return text + (f". {citation.note}" if citation.note else "")


def _headed(heading: str, text: str) -> str:
    if not text:
        return ""
    return textwrap.fill(
        text, _WIDTH, initial_indent=f"  {heading}: ", subsequent_indent="    ", break_on_hyphens=False
    )
