"""Words of questions in files: what a lecturer may change, and how a broken file is refused."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from trainer.domain.errors import Problem
from trainer.domain.generator.assemble import ScenarioDataError
from trainer.domain.questions.desk import QuestionWordsError
from trainer.domain.questions.making import make_question
from trainer.resources import folder
from trainer.services.scenarios import read_folder, scenarios

FAMILY = "leakage_left_to_use"
FILE = "questions/leakage.toml"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(folder("scenarios"), tmp_path / "scenarios"))


def without_line(problem: Problem) -> str:
    """A problem as text; the line after the name of the file is tested where it is found."""
    return re.sub(r"\.toml, line \d+", ".toml", str(problem))


def changed(copy: Path, old: str, new: str) -> Path:
    place = copy / FILE
    text = place.read_text("utf-8")
    assert old in text
    place.write_text(text.replace(old, new), "utf-8")
    return copy


def test_other_words_are_asked_and_the_numbers_stay(copy):
    data = read_folder(changed(copy, "Leakages add:", "These leakages add up:"))
    before, after = make_question(3, scenarios(), family=FAMILY), make_question(3, data, family=FAMILY)
    assert after.key.asks["question"].why.startswith("These leakages add up:")
    assert after.key.asks["question"].answers == before.key.asks["question"].answers


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("[leakage_left_to_use]", "[leakage_left]", f"{FILE}: leakage_left: unknown family of questions"),
        (
            "leakage_left_to_use",
            "leakage_left",
            "questions/: no file has the words of this family (given: leakage_left_to_use)",
        ),
        ("Leakages add: {sum}.", "Leakages add: {sum.", f"{FILE}: {FAMILY}.why.why: has a brace too many or too few"),
        ("Leakages add: {sum}.", "Leakages add: {sum:.1f}.", "stands the name of a placeholder and nothing else"),
        ('heat_pump = "heat pump"', 'heat_pump = ""', f"{FILE}: {FAMILY}.labels.heat_pump: must not be empty"),
        ('heat_pump = "heat pump"', "heat_pump = 5", f"{FILE}: {FAMILY}.labels.heat_pump: must be a text"),
        ("[leakage_left_to_use.wrong]", "[leakage_left_to_use.worng]", "nearest: wrong"),
        (
            'format = "protection-trainer/questions"',
            'format = "questions"',
            f"{FILE}: format: must be protection-trainer",
        ),
    ],
)
def test_a_broken_file_is_refused_with_file_family_and_reason(copy, old, new, expected):
    with pytest.raises(ScenarioDataError) as caught:
        read_folder(changed(copy, old, new))
    assert any(expected in without_line(problem) for problem in caught.value.problems), caught.value


def test_a_file_that_is_not_toml_is_refused_with_its_line(copy):
    with pytest.raises(ScenarioDataError, match=rf"{FILE}: not TOML: .*line \d+"):
        read_folder(changed(copy, "why = ", "why "))


def test_words_that_stand_twice_are_refused(copy):
    (copy / "questions" / "more.toml").write_text((copy / FILE).read_text("utf-8"), "utf-8")
    with pytest.raises(ScenarioDataError) as caught:
        read_folder(copy)
    assert any(f"more.toml: {FAMILY}: stands in {FILE} already" in without_line(each) for each in caught.value.problems)


def test_a_placeholder_that_a_text_does_not_have_names_the_possible_ones(copy):
    data = read_folder(changed(copy, "Leakages add: {sum}.", "Leakages add: {summ}."))
    with pytest.raises(
        QuestionWordsError, match=rf"{FILE}: {FAMILY}.why.why: {{summ}} is no placeholder.*possible: .*sum"
    ):
        make_question(3, data, family=FAMILY)


def test_a_label_that_is_missing_is_named(copy):
    data = read_folder(changed(copy, 'boiler = "boiler controls"', ""))
    with pytest.raises(QuestionWordsError, match=rf"{FILE}: {FAMILY}.labels.boiler: missing"):
        for seed in range(20):
            make_question(seed, data, family=FAMILY)
