"""``docs/privacy.md`` against the tables and the times of the program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trainer.persistence.tables import Base
from trainer.services.privacy.times import DEFAULTS


@pytest.fixture(scope="module")
def page(root: Path) -> str:
    return (root / "docs/privacy.md").read_text("utf-8")


def test_every_table_stands_on_the_page(page: str) -> None:
    first = re.findall(r"^\| ([a-z_, ]+) \|", page, re.MULTILINE)
    listed = [name for cell in first for name in cell.split(", ")]
    kinds = {kind.value for kind in DEFAULTS} | {"kind", "table", "table name"}
    tables = [name for name in listed if name not in kinds and not name.startswith("job of the kind ")]
    assert sorted(tables) == sorted(Base.metadata.tables)


def test_every_time_on_the_page_is_that_of_the_program(page: str) -> None:
    rows = re.findall(r"^\| ([a-z]+) \| (\d+) \| ([^|]+) \| ([^|]+) \|$", page, re.MULTILINE)
    told = {(kind, int(days), since, then) for kind, days, since, then in rows}
    assert told == {(each.kind.value, each.days, each.counts_from, each.then) for each in DEFAULTS.values()}


def test_the_page_says_which_kinds_an_organisation_sets(page: str) -> None:
    own = [kind for kind, time in DEFAULTS.items() if time.of_organisation]
    assert len(own) == 5
    assert list(DEFAULTS)[-5:] == own
    assert "the last five only" in " ".join(page.split())
