"""The table of ``docs/security.md``: every requirement of levels 1 and 2 once, every named test there.

Source: OWASP ASVS 5.0.0 (ids and levels in ``asvs_5_0_0.csv``, taken from the table that the project publishes).
"""

from __future__ import annotations

import ast
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

STATES = {"met", "part", "not met", "n/a", "site"}
NAMED = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")
PAGES = re.compile(r"`(docs/[\w-]+\.md)`")
_ROW = re.compile(r"\| ([\d., ]+) \| ([^|]+) \| ([^|]+) \| (.+) \|")


@dataclass(frozen=True)
class Row:
    ids: tuple[str, ...]
    what: str
    state: str
    how: str


@pytest.fixture(scope="module")
def rows(root: Path) -> list[Row]:
    lines = (root / "docs/security.md").read_text("utf-8").splitlines()
    found = [match.groups() for line in lines if (match := _ROW.fullmatch(line))]
    return [Row(tuple(ids.split(", ")), what, state.strip(), how) for ids, what, state, how in found]


@pytest.fixture(scope="module")
def asked(root: Path) -> dict[str, int]:
    lines = (root / "tests/security/asvs_5_0_0.csv").read_text("utf-8").splitlines()
    return {name: int(level) for name, level in (line.split(",") for line in lines[2:])}


@cache
def names_of_tests(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text("utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def test_the_list_is_whole(asked: dict[str, int]) -> None:
    """The standard counts 70 requirements of level 1 and 183 of level 2, in seventeen chapters."""
    levels = list(asked.values())
    assert (levels.count(1), levels.count(2)) == (70, 183)
    assert {name.split(".")[0] for name in asked} == {str(chapter) for chapter in range(1, 18)}


def test_every_requirement_of_levels_one_and_two_stands_in_the_table_once(
    rows: list[Row], asked: dict[str, int]
) -> None:
    listed = [name for row in rows for name in row.ids]
    assert sorted(listed) == sorted(asked)


def test_every_row_says_how_it_stands(rows: list[Row]) -> None:
    for row in rows:
        assert row.state in STATES, row
        assert len(row.how) >= 15, row


def test_every_test_that_is_named_is_there(rows: list[Row], root: Path) -> None:
    missing = []
    for row in rows:
        for path, name in NAMED.findall(row.how):
            file = root / path
            if not file.is_file() or name not in names_of_tests(file):
                missing.append(f"{row.ids}: {path}::{name}")
    assert missing == []


def test_every_page_that_is_named_is_there(rows: list[Row], root: Path) -> None:
    pages = {page for row in rows for page in PAGES.findall(row.how)}
    assert [page for page in sorted(pages) if not (root / page).is_file()] == []


def test_what_is_called_met_names_a_test(rows: list[Row]) -> None:
    assert [row.ids for row in rows if row.state == "met" and not NAMED.search(row.how)] == []


def test_the_count_on_the_page_is_that_of_the_table(rows: list[Row], root: Path) -> None:
    text = (root / "docs/security.md").read_text("utf-8")
    for state in STATES:
        count = sum(len(row.ids) for row in rows if row.state == state)
        assert f"| {state} | {count} |" in text, (state, count)
