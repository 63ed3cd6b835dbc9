"""The map for contributors shows the house as it stands: no folder is left out, no entry leads nowhere."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

# Their folders are named one by one; of the others the map names what one has to know.
LISTED = ("trainer", "trainer/domain", "trainer/services", "trainer/web", "trainer/persistence", "tests", "scenarios")
NAMED = re.compile(r"`([\w./*-]+)`")
PLACE = re.compile(r"`([\w./-]+\.py)`, `(\w+)`")


def rows(root: Path) -> Iterator[tuple[list[str], str]]:
    """The rows of the map: what the first cell names, or the row before it, and the second cell."""
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text[text.index("| where | what |") : text.index("### The way of one answer")]
    where: list[str] = []
    for line in table.splitlines()[2:]:
        if line.startswith("|"):
            _, first, second, _ = line.split("|")
            where = NAMED.findall(first) or where
            yield where, second


def folders(root: Path, below: str) -> set[str]:
    """The folders with something in them that is kept."""
    return {
        each.name
        for each in (root / below).iterdir()
        if each.is_dir() and each.name.isidentifier() and not each.name.startswith("__") and holds_text(each)
    }


def holds_text(folder: Path) -> bool:
    return any(path.is_file() for path in folder.rglob("*") if "__pycache__" not in path.parts)


@pytest.mark.parametrize("below", LISTED)
def test_the_map_leaves_no_folder_out(root: Path, below: str) -> None:
    shown = {Path(each).name for where, _ in rows(root) for each in where if str(Path(each).parent) == below}
    for where, told in rows(root):
        if [each.rstrip("/") for each in where] == [below]:
            shown |= {each.rstrip("/") for each in NAMED.findall(told) if each.endswith("/")}
    assert folders(root, below) - shown == set()


def test_no_entry_of_the_map_leads_nowhere(root: Path) -> None:
    entries = [(where[0], each) for where, told in rows(root) for each in (*where, *NAMED.findall(told))]
    assert len(entries) > 100
    paths = [(place, each) for place, each in entries if each.endswith(("/", ".py", ".html", ".md"))]
    missing = [each for place, each in paths if not any(any(base.glob(each)) for base in (root, root / place))]
    assert missing == []


def test_the_way_of_an_answer_goes_through_functions_that_are_there(root: Path) -> None:
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    way = text[text.index("### The way of one answer") : text.index("## Every day")]
    places = PLACE.findall(way)
    assert len(places) > 5
    assert [f"{file}, {name}" for file, name in places if name not in names_in(root / file)] == []


def names_in(file: Path) -> set[str]:
    """The functions and values that a module defines, in classes too."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found.add(node.target.id)
    return found
