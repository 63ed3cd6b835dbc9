"""What a learner must know before the start and after the release: when it is passed, and what made it fail."""

from __future__ import annotations

from lxml import html

from tests.services.sittings.world import PAPER, World, right_answers
from tests.web.people.conftest import Browser
from tests.web.sittings.conftest import start
from tests.web.sittings.test_sitting_pages import form_of, press, variant
from trainer.services.papers.words import PaperState


def main_of(page: str) -> html.HtmlElement:
    return html.fromstring(page).xpath("//main")[0]


def words(page: str) -> str:
    return " ".join(main_of(page).text_content().split())


def test_pass_mark_and_what_fails_the_paper_stand_before_the_start(world: World, learner: Browser) -> None:
    before = words(learner.get(f"/my-papers/{PAPER}").text)
    assert "It is passed with" not in before
    assert "fails the whole paper" not in before
    world.set_paper(pass_percent=60, critical_errors_fail=True)
    told = words(learner.get(f"/my-papers/{PAPER}").text)
    assert "It is passed with 60 % of the marks or more." in told
    assert "One answer that is not safe to energise fails the whole paper, whatever the marks." in told


def test_a_sitting_begins_with_its_tasks_and_not_with_handing_in(world: World, learner: Browser) -> None:
    path = start(learner)
    page = main_of(learner.get(path).text)
    assert page.xpath(".//h1/text()") == ["Your tasks"]
    # The one button that is filled leads on; the other, which ends it, is not.
    (first,) = page.xpath('.//*[@class="button"]')
    assert (first.text, first.get("href")) == ("Begin with the first", f"{path}/items/1")
    assert page.xpath('.//form[contains(@action, "/hand-in")]//button/@class') == ["button plain"]


def test_what_is_missing_is_one_step_away_and_once_nothing_is_it_is_handed_in(world: World, learner: Browser) -> None:
    path = start(learner)
    tasks = world.tasks(variant(world))
    press(learner, f"{path}/items/1", form_of(tasks[1], right_answers(tasks[1])))
    page = main_of(learner.get(path).text)
    assert page.xpath(".//h1/text()") == ["Review before handing in"]
    (first,) = page.xpath('.//*[@class="button"]')
    assert (first.text, first.get("href")) == ("Go on with task 2", f"{path}/items/2")
    for position, task in tasks.items():
        press(learner, f"{path}/items/{position}", form_of(task, right_answers(task)))
    (last,) = main_of(learner.get(path).text).xpath('.//*[@class="button"]')
    assert last.text == "Hand in"


def test_the_result_names_the_task_that_left_a_danger(world: World, learner: Browser) -> None:
    path = start(learner)
    tasks = world.tasks(variant(world))
    # Every house is answered by its first options until one of them is not safe; the rest is right.
    for position, task in tasks.items():
        given = right_answers(task)
        if task.decisions:
            given = {each.id: each.options[0].id for each in task.decisions}
        press(learner, f"{path}/items/{position}", form_of(task, given))
    learner.post(f"{path}/hand-in", page=path)
    world.set_paper(state=PaperState.RELEASED.value, critical_errors_fail=True, pass_percent=60)
    page = main_of(learner.get(f"{path}/result").text)
    marked = [row for row in page.xpath(".//tbody/tr") if "a danger would remain" in row.text_content()]
    unsafe = {row.xpath(".//a/@href")[0] for row in marked}
    said = {
        f"{path}/result/{position}"
        for position in tasks
        if "Not safe to energise" in words(learner.get(f"{path}/result/{position}").text)
        or "A danger would remain" in words(learner.get(f"{path}/result/{position}").text)
    }
    assert unsafe
    assert unsafe == said
    assert bool(unsafe) is ("Not safe to energise" in words(learner.get(f"{path}/result").text))
