"""The parts of the house that no user sees but everybody stands on."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

DESIGN_CARD = {"README.md", "DEVELOPERS.md", "pyproject.toml", "trainer", "scenarios", "templates", "tests", "docs"}

USE_LINE = "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/trainer demo"
WORK_LINE = "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/python -m pytest"

# Folders that exist on one machine only. Written in pieces so that this file does not hold them itself.
ONE_MACHINE = "|".join(("wo" + "rk", "fa" + "rm", "ho" + "me/[a-z]+", "Us" + "ers", "ro" + "ot", "tmp/ba" + "sh_jobs"))
MACHINE_PATH = re.compile(f"(^|[^a-z.])/({ONE_MACHINE})/")


def tracked(root: Path) -> list[str]:
    answer = subprocess.run(["git", "ls-files", "-z"], cwd=root, check=True, capture_output=True, text=True)
    return [name for name in answer.stdout.split("\0") if name]


@pytest.fixture(scope="module")
def tracked_files(root: Path, tool) -> list[str]:
    tool("git")
    if not (root / ".git").exists():
        pytest.skip("this is not a checkout: the files that git tracks cannot be listed")
    return tracked(root)


def test_the_top_level_holds_only_what_the_design_card_names(tracked_files: list[str]) -> None:
    top = {name.partition("/")[0] for name in tracked_files}
    assert {name for name in top if not name.startswith(".")} == DESIGN_CARD


def test_no_tracked_file_names_a_folder_of_one_machine(root: Path, tracked_files: list[str]) -> None:
    found = []
    for name in tracked_files:
        try:
            text = (root / name).read_text(encoding="utf-8")
        except (UnicodeDecodeError, FileNotFoundError):
            continue
        found += [f"{name}:{n}" for n, line in enumerate(text.splitlines(), 1) if MACHINE_PATH.search(line)]
    assert found == []


def test_no_module_is_longer_than_four_hundred_lines(root: Path) -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in (root / "trainer").rglob("*.py")}
    assert {str(path.relative_to(root)): n for path, n in lengths.items() if n > 400} == {}


def test_the_readme_holds_the_two_commands_each_on_a_line_of_its_own(root: Path) -> None:
    lines = (root / "README.md").read_text(encoding="utf-8").splitlines()
    assert lines.count(USE_LINE) == 1
    assert lines.count(WORK_LINE) == 1


def test_the_readme_and_every_page_carry_the_same_caution(root: Path) -> None:
    from trainer.explain.caution import caution_paragraphs

    readme = " ".join((root / "README.md").read_text(encoding="utf-8").split())
    for paragraph in caution_paragraphs():
        assert paragraph in readme
    piece = (root / "templates/partials/caution.html").read_text(encoding="utf-8")
    assert "in caution()" in piece
    assert "training aid" not in piece


def test_the_version_is_the_same_in_package_and_project(root: Path) -> None:
    import trainer

    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == trainer.__version__


def test_the_resources_are_found_from_any_directory(root: Path, tmp_path: Path) -> None:
    program = "from trainer.resources import folder; print(folder('scenarios').is_dir(), folder('templates').is_dir())"
    answer = subprocess.run([sys.executable, "-c", program], cwd=tmp_path, check=True, capture_output=True, text=True)
    assert answer.stdout.split() == ["True", "True"]
