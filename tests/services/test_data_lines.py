"""A broken file is refused with the number of the line, and a special location without rules is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from trainer.domain.generator.assemble import ScenarioDataError
from trainer.resources import folder
from trainer.services.scenarios import read_folder


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(folder("scenarios"), tmp_path / "scenarios"))


def refused(place: Path, file: str, old: str, new: str) -> tuple[int, list[str]]:
    """The line that was broken, and what was told."""
    path = place / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(ScenarioDataError) as caught:
        read_folder(place)
    line = text[: text.index(old)].count("\n") + old.count("\n", 0, old.rindex("\n") if "\n" in old else 0) + 1
    return line, [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("archetypes/flat.toml", "levels = [1, 2, 3]", "levels = [1, 9]"),
        ("archetypes/flat.toml", "from = 18, to = 32", "from = 32, to = 18"),
        ("archetypes/flat.toml", "hob_induction = 3", "hob_inductive = 3"),
        ("archetypes/terrace.toml", '"charger", "heat_pump"', '"charger", "heat_pumps"'),
        ("archetypes/flat.toml", 'special_locations = ["701"]', 'special_locations = ["702"]'),
        ("equipment/oven.toml", "standing_dc_ma = 0", 'standing_dc_ma = "none"'),
        ("wiring.toml", 'type = "4D5"', 'type = "4D6"'),
        ("archetypes/flat.toml", 'id = "flat"', "id = "),
    ],
)
def test_a_mistake_is_told_with_its_line(copy, file, old, new):
    line, told = refused(copy, file, old, new)
    assert any(f"line {line}" in each for each in told), told


def test_premises_whose_special_location_no_rule_judges_are_refused_with_those_that_are(copy):
    _, told = refused(copy, "archetypes/flat.toml", 'special_locations = ["701"]', 'special_locations = ["702"]')
    assert any("it has 701, 705, 708, 712, 722" in each for each in told)


def test_a_farm_that_does_not_name_its_section_is_refused(copy):
    _, told = refused(copy, "archetypes/farm.toml", 'special_locations = ["705"]\n', "")
    assert any("must name 705" in each for each in told)


def test_level_5_without_a_site_is_refused(copy):
    _, told = refused(copy, "archetypes/flat.toml", "levels = [1, 2, 3]", "levels = [1, 2, 3, 5]")
    assert any("level 5 needs at least one [[site]]" in each for each in told)
