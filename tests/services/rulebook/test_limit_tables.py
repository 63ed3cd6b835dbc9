"""The limits as tables: every value is there with its source, and laying a table out loses nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import pytest

from tests.explain.filled_houses import filled_house
from tests.services.rulebook_examples import IDS, RULES, example, houses
from trainer.domain.errors import UnknownNameError
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.rules.registry import subjects
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.rulebook.limit_reading import limits_read
from trainer.services.rulebook.limit_tables import grid_of, limit_table, limit_tables
from trainer.services.rulebook.pages import page_texts


def test_every_field_of_every_group_is_a_table() -> None:
    limits = limits_for(DEFAULT_EDITION)
    groups = [field.name for field in fields(limits) if field.name != "edition"]
    expected = {f"{group}.{field.name}" for group in groups for field in fields(getattr(limits, group))}
    assert set(limit_tables()) == expected


@pytest.mark.parametrize("path", list(limit_tables()))
def test_a_table_has_rows_and_each_row_a_source_and_a_status(path: str) -> None:
    table = limit_table(path)
    assert table.rows
    assert table.title
    for row in table.rows:
        assert row.value
        assert row.citation.publication
        assert row.citation.clause
        assert row.citation.status


@pytest.mark.parametrize("path", list(limit_tables()))
def test_a_table_laid_out_holds_each_of_its_values_once(path: str) -> None:
    table = limit_table(path)
    laid_out = sorted(value for _, values in grid_of(table).lines for value in values if value)
    assert laid_out == sorted(row.value for row in table.rows)


def test_the_table_of_maximum_impedances_has_a_column_for_each_curve() -> None:
    grid = grid_of(limit_table("overcurrent.maximum_impedance_breaker"))
    assert grid.columns == ("curve B", "curve C", "curve D")
    # Table 41.3 of BS 7671 as printed (A2:2022, seen in public texts): B 32 1.37, C 32 0.68, D 32 0.34.
    assert dict(grid.lines)[("32",)] == ("1.37", "0.68", "0.34")


def test_the_least_type_is_shown_as_its_letter() -> None:
    rows = {row.keys[0]: row.value for row in limit_table("residual.least_type_rank").rows}
    assert rows["bridge power factor stage"] == "B"
    assert rows["resistive"] == "AC"


def test_an_unknown_limit_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match=r"earthing\.touch_voltage_v"):
        limit_table("earthing.touch_voltage")


@pytest.mark.parametrize("edition", list(Edition))
def test_the_tables_hold_in_every_edition(edition: Edition) -> None:
    assert set(limit_tables(edition)) == set(limit_tables())


class _Recorder:
    """A group of limits that notes which of its values are asked for."""

    def __init__(self, group: object, name: str, asked: set[str]) -> None:
        self._group, self._name, self._asked = group, name, asked

    def __getattr__(self, name: str) -> Any:
        value = getattr(self._group, name)
        if name in {field.name for field in fields(self._group)}:  # type: ignore[arg-type]
            self._asked.add(f"{self._name}.{name}")
        elif callable(value):
            return lambda *words: type(self._group).__dict__[name](self, *words)
        return value


def recording(asked: set[str]) -> Limits:
    limits = limits_for(DEFAULT_EDITION)
    groups = [field.name for field in fields(limits) if field.name != "edition"]
    return replace(limits, **{name: _Recorder(getattr(limits, name), name, asked) for name in groups})  # type: ignore[arg-type]


def _houses(rule_id: str) -> Iterator[Installation]:
    yield from houses().values()
    yield from (case.installation for case in example(rule_id).cases)
    yield from (filled_house(seed) for seed in range(12))


@pytest.mark.parametrize("rule_id", IDS)
def test_what_a_rule_asks_for_while_it_judges_is_what_its_page_says_it_reads(rule_id: str) -> None:
    rule, asked = RULES[rule_id], set[str]()
    limits = recording(asked)
    for house in _houses(rule_id):
        fresh = replace(house)
        for _, record in subjects(fresh, rule.over):
            rule.judge(record, fresh, limits)
    assert asked <= set(limits_read(rule))


@pytest.mark.parametrize("rule_id", IDS)
def test_a_page_shows_no_limit_that_its_rule_cannot_read(rule_id: str) -> None:
    assert set(page_texts()[rule_id].limits) <= set(limits_read(RULES[rule_id]))
