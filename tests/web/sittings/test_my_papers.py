"""The list of a learner's papers: each result that may be seen stands there, with date and the marks that count."""

from __future__ import annotations

from datetime import timedelta

from lxml import html
from sqlalchemy import delete

from tests.services.sittings.world import COLLEGE, NOON, PAPER, World, right_answers
from tests.web.people.conftest import Browser
from tests.web.sittings.conftest import LEARNER, start
from tests.web.sittings.test_sitting_pages import form_of, press, variant
from trainer.persistence.tables.moderation import ModerationRow
from trainer.persistence.tables.organisations import GroupMemberRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.papers.words import PaperState


def sat(world: World, learner: Browser) -> str:
    """Everything right, handed in ten minutes after the start; gives the path of the result."""
    path = start(learner)
    for position, task in world.tasks(variant(world)).items():
        press(learner, f"{path}/items/{position}", form_of(task, right_answers(task)))
    world.clock.pass_by(timedelta(minutes=10))
    learner.post(f"{path}/hand-in", page=path)
    return f"{path}/result"


def results(learner: Browser) -> list[tuple[str, str]]:
    """What the list says of each result, and where it leads."""
    page = html.fromstring(learner.get("/my-papers").text)
    found = page.xpath('//main//a[contains(@href, "/result")]')
    return [(" ".join(each.getparent().text_content().split()), each.get("href")) for each in found]


def change(world: World, kind: str, position: int, marks: int | None = None) -> None:
    """A change by hand as the page of the marks stores it."""
    sitting = world.rows(SittingRow)[0]
    with world.storage.database.writing() as session:
        session.add(
            ModerationRow(
                id=f"change-{position}", organisation_id=COLLEGE, paper_id=PAPER,
                sitting_id=None if kind == "item_voided" else sitting.id, position=position, kind=kind,
                marks_after=marks, reason="read once more", made_by="college-lecturer", made_at=NOON,
            )
        )  # fmt: skip


def test_a_released_result_is_one_click_away_with_date_and_mark(world: World, learner: Browser) -> None:
    path = sat(world, learner)
    assert results(learner) == []
    world.set_paper(state=PaperState.RELEASED.value, pass_percent=60)
    # Twelve, five, six and seven marks make thirty: the blueprint of the paper.
    assert results(learner) == [("Result: 30 of 30 marks, 100 %, passed, handed in 2 Nov 2026, 12:10 UTC", path)]
    assert "30 of 30 marks" in learner.get(path).text


def test_the_list_counts_what_was_changed_by_hand_as_the_result_itself_does(world: World, learner: Browser) -> None:
    path = sat(world, learner)
    world.set_paper(state=PaperState.RELEASED.value, pass_percent=60)
    change(world, "mark_changed", 1, marks=2)
    # Ten of the twelve marks of the first task are gone: 20 of 30, and 66 % cut off.
    assert results(learner)[0][0].startswith("Result: 20 of 30 marks, 66 %, passed")
    assert "20 of 30 marks" in learner.get(path).text
    change(world, "item_voided", 4)
    # The seven marks of the fourth count for nobody: 13 of 23, 56 %, below 60.
    assert results(learner)[0][0].startswith("Result: 13 of 23 marks, 56 %, not passed")
    assert "13 of 23 marks" in learner.get(path).text


def test_of_two_results_the_newer_stands_first(world: World, learner: Browser) -> None:
    world.set_paper(attempts_allowed=2)
    first = sat(world, learner)
    world.clock.pass_by(timedelta(minutes=10))
    second = start(learner, number="2")
    learner.post(f"{second}/hand-in", page=second)
    world.set_paper(state=PaperState.RELEASED.value)
    assert [where for _, where in results(learner)] == [f"{second}/result", first]
    with world.storage.database.writing() as session:
        session.execute(delete(GroupMemberRow).where(GroupMemberRow.member_id == LEARNER))
    assert [where for _, where in results(learner)] == [f"{second}/result", first]


def test_a_result_stays_one_click_away_when_its_learner_has_left_the_group(world: World, learner: Browser) -> None:
    path = sat(world, learner)
    world.set_paper(state=PaperState.RELEASED.value)
    with world.storage.database.writing() as session:
        session.execute(delete(GroupMemberRow).where(GroupMemberRow.member_id == LEARNER))
    assert results(learner) == [("Paper one: Result: 30 of 30 marks, 100 %, handed in 2 Nov 2026, 12:10 UTC", path)]
    page = learner.get("/my-papers").text
    assert "groups that you are no longer in" in page
    assert "No paper is set for you now" not in page


def test_nobody_else_finds_it_in_their_list(world: World, learner: Browser, browser_of) -> None:
    sat(world, learner)
    world.set_paper(state=PaperState.RELEASED.value)
    assert results(browser_of("college-administrator")) == []
