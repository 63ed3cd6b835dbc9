"""The folder of scenario data: every reference holds, every text is usable, broken files are refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from trainer.domain.generator.assemble import ScenarioDataError
from trainer.domain.rules.book import ALL_RULES
from trainer.resources import folder
from trainer.services.scenarios import read_folder, scenarios

DATA = scenarios()
RULES = {rule.id for rule in ALL_RULES}
OBJECTIVES = {f"LO{number:02d}" for number in range(1, 49)}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(folder("scenarios"), tmp_path / "scenarios"))


def refused(place: Path) -> list[str]:
    with pytest.raises(ScenarioDataError) as caught:
        read_folder(place)
    return [str(problem) for problem in caught.value.problems]


def test_there_are_twenty_two_archetypes_or_more_and_many_are_not_dwellings():
    assert len(DATA.archetypes) >= 22
    assert len({each.premises for each in DATA.archetypes.values()}) >= 6


def test_there_are_forty_equipment_families_or_more():
    assert len(DATA.families) >= 40


def test_there_are_sixty_two_traps_or_more_and_an_honest_house():
    assert len(DATA.traps) >= 62
    assert [trap.id for trap in DATA.traps.values() if trap.honest] == ["honest_house"]


def test_every_family_is_used_by_an_archetype():
    used = {
        name
        for archetype in DATA.archetypes.values()
        for work in (*archetype.existing, *archetype.wanted)
        for name in work.families.values
    }
    assert set(DATA.families) - used == set()


def test_every_wanted_work_has_a_story():
    for archetype in DATA.archetypes.values():
        common = DATA.stories["dwelling" if archetype.premises == "dwelling" else "commercial"]
        for work in archetype.wanted:
            head, _, tail = work.role.rpartition("_")
            role = head if tail.isdigit() else work.role
            assert {work.role, role} & ({*common, *archetype.stories} - {""}), (archetype.id, work.role)


def test_every_rule_that_a_trap_or_a_misconception_names_is_in_the_book():
    named = {rule for trap in DATA.traps.values() for rule in (*trap.rules, *trap.also)}
    named |= {each.rule for each in DATA.misconceptions.values()}
    named |= {sign.rule for each in DATA.misconceptions.values() for sign in each.signs}
    assert named - RULES == set()


def test_every_misconception_that_a_trap_names_says_what_is_wrong_with_it():
    for trap in DATA.traps.values():
        assert DATA.misconceptions[trap.misconception].why_wrong


def test_the_sixteen_misconceptions_of_experts_come_first():
    assert list(DATA.misconceptions)[:16] == [f"M{number:02d}" for number in range(1, 17)]


def test_every_case_by_which_a_misconception_is_recognised_is_a_case_of_its_rule():
    import inspect

    modules = {rule.id: inspect.getsource(inspect.getmodule(rule.judge)) for rule in ALL_RULES}  # type: ignore[arg-type]
    for misconception in DATA.misconceptions.values():
        for sign in misconception.signs:
            for case in sign.cases:
                assert f'"{case}"' in modules[sign.rule] or case == "front_end_needs", (misconception.id, case)


def test_every_option_that_a_trap_names_can_be_offered():
    for trap in DATA.traps.values():
        for kind in trap.decisions:
            worded = DATA.decisions[kind].options
            assert trap.honest or "*" in worded or set(trap.options) & set(worded), trap.id


def test_objectives_of_all_decisions_are_in_the_list():
    for kind, text in DATA.decisions.items():
        named = {*text.objectives, *(one for many in text.objectives_by_role.values() for one in many)}
        assert named <= OBJECTIVES, kind


def test_all_makers_streets_and_surnames_differ():
    for names in (DATA.names.makers, DATA.names.streets, DATA.names.families):
        assert len(set(names)) == len(names) >= 40


def test_there_are_three_styles_of_data_sheet_and_each_tells_every_fact_in_one_place():
    assert len(DATA.sheets.styles) >= 3
    for style in DATA.sheets.styles:
        placed = (*style.rows, *style.notes, *style.small_print)
        assert sorted(placed) == sorted(DATA.sheets.facts)


def test_what_stands_in_notes_or_small_print_has_a_sentence_for_every_word_it_has_in_a_row():
    for style in DATA.sheets.styles:
        for name in (*style.notes, *style.small_print):
            fact = DATA.sheets.facts[name]
            for word in fact.words or {"*": ""}:
                voices = fact.sentences.get(word, fact.sentences.get("*", ()))
                assert len(voices) == 3, (style.id, name, word)
                assert voices[style.voice], (style.id, name, word)


def test_what_stands_in_rows_has_a_word_for_every_sentence():
    for style in DATA.sheets.styles:
        for name in style.rows:
            fact = DATA.sheets.facts[name]
            if fact.words and "*" not in fact.words:
                assert set(fact.sentences) - {"*"} <= set(fact.words), name


def test_a_file_that_is_not_toml_is_refused_by_name(copy):
    (copy / "archetypes" / "flat.toml").write_text("id = ", "utf-8")
    assert any(text.startswith("archetypes/flat.toml: not TOML") for text in refused(copy))


def test_all_mistakes_of_several_files_are_told_at_once(copy):
    flat = copy / "archetypes" / "flat.toml"
    flat.write_text(flat.read_text("utf-8").replace("hob_induction = 3", "hob_inductive = 3"), "utf-8")
    family = copy / "equipment" / "oven.toml"
    family.write_text(family.read_text("utf-8").replace('"bridge_resistive"', '"bridge_resistiv"'), "utf-8")
    told = refused(copy)
    assert any("flat.toml" in text and "nearest: hob_induction" in text for text in told)
    assert any("oven.toml" in text and "nearest: bridge_resistive" in text for text in told)


@pytest.mark.parametrize(
    ("file", "old", "new", "expected"),
    [
        ("archetypes/flat.toml", "weight = 2\nlevels", "weigth = 2\nlevels", "nearest: weight"),
        ("archetypes/flat.toml", "levels = [1, 2, 3]", "levels = [1, 9]", "must be some of"),
        ("archetypes/flat.toml", "from = 18, to = 32", "from = 32, to = 18", "from must not exceed to"),
        ("archetypes/flat.toml", 'premises = "dwelling"', 'premises = "dweling"', "nearest: dwelling"),
        ("archetypes/terrace.toml", '"charger", "heat_pump"', '"charger", "heat_pumps"', "nearest: heat_pump"),
        ("equipment/oven.toml", "standing_dc_ma = 0", 'standing_dc_ma = "none"', "must be a float"),
        ("equipment/oven.toml", "offered_a = [10, 16, 20, 32]", "offered_a = []", "must be a list of numbers"),
        ("equipment/oven.toml", 'language = "en-GB"', 'language = "de-DE"', "texts are in en-GB"),
        ("equipment/oven.toml", "format_version = 1", "format_version = 2", "this program reads version 1"),
        ("traps.toml", 'misconception = "M17"', 'misconception = "M999"', "unknown misconception"),
        ("costs.toml", "rcbo = 4", "rcbo = 4.5", "must be a whole number"),
        ("decisions.toml", 'question = "Which type', 'questoin = "Which type', "nearest: question"),
        ("sheets.toml", '"fixing"]', '"fixing", "leakage"]', "must stand once"),
        ("wiring.toml", 'type = "4D5"', 'type = "4D6"', "unknown word"),
    ],
)
def test_a_broken_file_is_refused_with_its_place_and_what_would_do(copy, file, old, new, expected):
    place = copy / file
    text = place.read_text("utf-8")
    assert old in text
    place.write_text(text.replace(old, new, 1), "utf-8")
    told = refused(copy)
    assert any(problem.startswith(file) and expected in problem for problem in told), told


def test_a_missing_file_is_named(copy):
    (copy / "costs.toml").unlink()
    assert refused(copy) == ["costs.toml: missing"]


def test_names_come_from_the_documented_script_with_the_struck_out_left_out():
    from trainer.services.name_list import STRUCK_OUT

    assert set(DATA.names.makers) & STRUCK_OUT == set()
