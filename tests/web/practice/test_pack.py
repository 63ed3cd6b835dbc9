"""The papers as the page shows them: grouped, searched, marked and referred to."""

from __future__ import annotations

import pytest

from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Sheet, SheetKind, SheetRow, Task, TaskKind
from trainer.services.scenarios import make_task, scenarios
from trainer.web.practice.finding_lines import Search
from trainer.web.practice.note_groups import NoteGroup, group_of, grouped
from trainer.web.practice.pack import line_ids, line_told, pack_of, paper_of


@pytest.fixture(scope="module")
def house() -> Task:
    return make_task(TaskRequest(seed=1, level=4))


def test_a_line_is_found_by_all_words_in_any_order_and_in_capitals_too() -> None:
    assert Search("MEASURED ze").finds(("Ze, measured", "0.23 Ω"))
    assert not Search("ze declared").finds(("Ze, measured", "0.23 Ω"))
    assert not Search("   ").finds(("Ze",))


def test_what_was_looked_for_is_marked_and_nothing_else_becomes_markup() -> None:
    assert Search("30 ma").marked("type A, 30 mA <b>") == "type A, <mark>30</mark> <mark>mA</mark> &lt;b&gt;"
    assert Search("(a.c.)").marked("by (A.C.) only") == "by <mark>(A.C.)</mark> only"
    assert Search("").marked("a & b") == "a &amp; b"


def test_the_longer_of_two_words_is_marked_whole() -> None:
    assert Search("way wayside").marked("wayside") == "<mark>wayside</mark>"


def test_rows_of_one_circuit_stand_together_and_are_told_apart_by_name(house: Task) -> None:
    survey = next(each for each in pack_of(house).papers if each.id == "survey")
    parts = [[line.name for line in part.lines] for part in survey.parts if not part.lines[0].is_note]
    ways = [part for part in parts if part[0].startswith("Way ")]
    assert len(ways) >= 5
    assert all(line.startswith(part[0]) for part in ways for line in part)
    names = [name for part in parts for name in part]
    assert len(names) == len(set(names))


def test_every_note_of_a_survey_has_a_group_and_keeps_its_number(house: Task) -> None:
    survey = next(each for each in house.pack if each.id == "survey")
    shown = [line for part in paper_of(survey).parts for line in part.lines if line.is_note]
    assert sorted((line.number, line.text) for line in shown) == [
        (number, note) for number, note in enumerate(survey.notes[:-1], 1)
    ]


def test_every_note_in_the_scenario_data_is_sorted() -> None:
    texts = scenarios().sheets.texts
    keys = ("widths", "surge_open", "surge_value", "building", "notices_open", "notices_value", "tests")
    notes = [texts["survey"][key] for key in keys] + list(texts["remarks"].values())
    assert [note for note in notes if group_of(note) is None] == []


def test_what_is_seen_comes_before_what_only_concerns_the_visit() -> None:
    texts = scenarios().sheets.texts
    notes = [texts["remarks"]["06"], texts["survey"]["building"], "Nobody knows this one."]
    assert list(grouped(enumerate(notes, 1))) == [NoteGroup.SEEN, NoteGroup.VISIT]
    assert grouped(enumerate(notes, 1))[NoteGroup.SEEN] == [(2, notes[1]), (3, notes[2])]


@pytest.mark.parametrize("kind", [TaskKind.CHOOSE, TaskKind.INSPECT, TaskKind.MEASURE])
def test_every_line_has_an_id_of_its_own(kind: TaskKind) -> None:
    papers = pack_of(make_task(TaskRequest(seed=2, level=2, kind=kind))).papers
    ids = [line.id for paper in papers for line in paper.lines]
    assert len(ids) == len(set(ids))
    assert len({line.anchor for paper in papers for line in paper.lines}) == len(ids)


def test_a_told_place_leads_to_its_line(house: Task) -> None:
    survey = next(each for each in house.pack if each.id == "survey")
    device = next(row.label for row in survey.rows if row.label.startswith("Way 1"))
    told = {"sheet": "survey", "title": "Survey", "what": "x", "row": f"{device}, Cable", "note": 0}
    pack = pack_of(house)
    line = line_told(pack, told)
    assert line is not None
    assert line.name == f"{device}, Cable"
    assert line.id in line_ids(house)
    assert line_told(pack, {**told, "row": ""}) is None
    assert line_told(pack, {**told, "sheet": "nowhere"}) is None


def test_a_note_is_told_by_its_number() -> None:
    sheet = Sheet(
        id="s", title="S", kind=SheetKind.DATA_SHEET, rows=(SheetRow(label="Input", value="7.4", unit="kW"),),
        notes=("One.", "Two."),
    )  # fmt: skip
    lines = paper_of(sheet).lines
    assert [(line.id, line.text) for line in lines] == [
        ("s.r1", "7.4\u00a0kW"),
        ("s.n1", "One."),
        ("s.n2", "Two."),
    ]
