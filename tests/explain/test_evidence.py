"""Each verdict names the sheet, and the line or note, on which it rests."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from trainer.domain.answers.marking import Grade
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Sheet, Task
from trainer.explain.evidence import Papers, Told
from trainer.explain.grades import chosen_house
from trainer.explain.reads import WatchedHouse
from trainer.services.answering import grade_answer
from trainer.services.scenarios import make_task

SEEDS = range(12)


def graded(level: int, seed: int) -> tuple[Task, Grade]:
    task = make_task(TaskRequest(seed=seed, level=level))
    return task, grade_answer(task, {each.id: each.options[0].id for each in task.decisions})


@pytest.fixture(scope="module")
def grades() -> list[tuple[Task, Grade]]:
    return [graded(level, seed) for level in (2, 3, 4) for seed in SEEDS]


def _told(grades: list[tuple[Task, Grade]]) -> Iterator[tuple[Task, Told]]:
    for task, grade in grades:
        papers = Papers(task, chosen_house(task, grade))
        for finding in grade.findings:
            yield from ((task, told) for told in papers.told(finding))


def _sheet(task: Task, told: Told) -> Sheet:
    return next(each for each in task.pack if each.id == told.sheet)


def test_what_a_rule_reads_holds_every_decision_on_which_the_solver_found_it_to_depend(
    grades: list[tuple[Task, Grade]],
) -> None:
    """A second method: the solver finds dependence by leaving decisions open until a rule reads one."""
    compared = 0
    for task, grade in grades:
        watched = WatchedHouse(chosen_house(task, grade), task.edition)
        for decision, result in zip(task.decisions, grade.decisions, strict=True):
            for place in result.findings:
                read = watched.read_by(grade.findings[place])
                assert any(path in read or any(r.startswith(f"{path}.") for r in read) for path in decision.paths), (
                    task.seed,
                    decision.id,
                    grade.findings[place].rule.id,
                )
                compared += 1
    assert compared > 300


def test_every_line_and_note_that_is_named_stands_in_the_papers(grades: list[tuple[Task, Grade]]) -> None:
    named = 0
    for task, told in _told(grades):
        sheet = _sheet(task, told)
        assert told.title == sheet.title
        if told.row:
            assert any(told.row.startswith(row.label) for row in sheet.rows)
        if told.note:
            assert 1 <= told.note <= len(sheet.notes)
        named += 1
    assert named > 200


DETECTION = re.compile(r"direct residual current|d\.c\. detection", re.IGNORECASE)
STATED_TYPE = re.compile(r"\b(recommend|require|suggest|must be|shall|only|use)\b.*\btypes? (AC|A|F|B)\b")
SILENT_ON = {"detection of d.c.": DETECTION, "type that the maker states": STATED_TYPE}


def test_the_line_on_detection_of_direct_current_speaks_of_it_and_silence_is_silence(
    grades: list[tuple[Task, Grade]],
) -> None:
    """Read a second time with a pattern that knows nothing of how sheets are made."""
    seen = silent = 0
    for task, told in _told(grades):
        sheet = _sheet(task, told)
        lines = [f"{row.label} {row.value}" for row in sheet.rows]
        if told.what == "detection":
            text = sheet.notes[told.note - 1] if told.note else next(x for x in lines if x.startswith(told.row))
            assert DETECTION.search(text)
            seen += 1
        for what, pattern in SILENT_ON.items():
            if told.is_silent and what in told.what:
                assert not any(map(pattern.search, (*lines, *sheet.notes))), (task.seed, sheet)
                silent += 1
    assert seen > 0
    assert silent > 0


def test_what_the_learner_chose_is_never_called_a_fact_of_the_papers(grades: list[tuple[Task, Grade]]) -> None:
    said = list(_told(grades))
    assert len(said) > 100
    for task, told in said:
        assert told.what not in task.undecided_paths


def test_papers_without_subjects_tell_nothing() -> None:
    task, grade = graded(2, 3)
    assert grade.findings
    bare = Papers(_without_pack(task), chosen_house(task, grade))
    assert all(bare.told(finding) == () for finding in grade.findings)


def _without_pack(task: Task) -> Task:
    from dataclasses import replace

    return replace(task, pack=())
