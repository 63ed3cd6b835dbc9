"""A paper sat through the pages: without script by its buttons, with script by its saves."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest

from tests.services.sittings.world import COLLEGE, NOON, PAPER, World, arrange, right_answers
from tests.web.people.conftest import Browser
from tests.web.sittings.conftest import LEARNER, fields_of, start
from trainer.domain.asks.forms import AskForm
from trainer.domain.tasks import Task
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.tables.sittings import GradingRow, SavedAnswerRow, SittingRow
from trainer.services.jobs.running import beat
from trainer.services.papers.words import PaperState
from trainer.web.asked.forms import field_of


def form_of(task: Task, given: dict[str, str]) -> dict[str, object]:
    """The fields that a browser sends for answers."""
    asks = {each.id: each for each in task.asks}
    fields: dict[str, object] = {}
    for name, value in given.items():
        form = asks[name].form if name in asks else AskForm.ONE
        if form is AskForm.SEVERAL:
            fields[f"choice-{name}"] = value.split("+")
        elif form is AskForm.ORDER:
            fields |= {field_of(asks[name], each): str(n) for n, each in enumerate(value.split(">"), start=1)}
        elif form is AskForm.MATCH:
            pairs = (pair.split("=") for pair in value.split("+"))
            fields |= {field_of(asks[name], left): right for left, right in pairs}
        else:
            fields[f"choice-{name}"] = value
    return fields


def press(browser: Browser, path: str, fields: dict[str, object], go: str = "save"):
    """Fills an item and presses a button of its page, as a browser without script does."""
    hidden = fields_of(browser.get(path).text)
    return browser.client.post(path, data={**hidden, **fields, "go": go})


def autosave(browser: Browser, path: str, fields: dict[str, object], **stamp: object):
    """Sends what the script sends."""
    hidden = fields_of(browser.get(path).text)
    return browser.client.post(f"{path}/save", data={**hidden, **fields, **stamp})


def variant(world: World) -> int:
    return world.rows(SittingRow)[0].variant


def test_a_paper_is_sat_from_the_list_to_the_result_without_script(world: World, learner: Browser) -> None:
    assert "Read the conditions and start" in learner.get("/my-papers").text
    assert "60 minutes" in learner.get(f"/my-papers/{PAPER}").text
    path = start(learner)
    for position, task in world.tasks(variant(world)).items():
        answer = press(learner, f"{path}/items/{position}", form_of(task, right_answers(task)), go=str(position + 1))
        assert answer.status_code == 303
    review = learner.get(path).text
    assert "Everything is answered" in review
    handed_in = learner.post(f"{path}/hand-in", page=path)
    assert handed_in.headers["Location"] == f"{path}/result"
    waiting = learner.get(f"{path}/result").text
    assert "when they are released" in waiting
    world.set_paper(state=PaperState.RELEASED.value)
    result = learner.get(f"{path}/result").text
    assert "30 of 30 marks" in result
    for position in range(1, 5):
        page = learner.get(f"{path}/result/{position}")
        assert page.status_code == 200
        assert "Caution" in page.text


def test_a_button_says_saved_with_the_time_and_the_answer_is_there_again(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/2"
    world.clock.pass_by(timedelta(minutes=2))
    answer = press(learner, path, {"choice-question": "40"})
    page = learner.get(answer.headers["Location"]).text
    assert re.search(r"saved <time [^>]*>12:02 UTC</time>", page)
    assert 'value="40' in page


def test_a_save_of_the_script_is_told_in_words_and_numbers(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/2"
    world.clock.pass_by(timedelta(minutes=2))
    told = autosave(learner, path, {"choice-question": "40"})
    said = told.get_json()
    assert (told.status_code, said["state"], said["sequence"], said["words"]) == (200, "saved", 1, "saved 12:02")
    assert said["left_s"] == 58 * 60
    assert json.loads(world.rows(SavedAnswerRow)[0].answers_json)["question"].startswith("40")


def test_an_older_page_is_told_and_keeps_nothing(world: World, learner: Browser, browser_of) -> None:
    path = f"{start(learner)}/items/2"
    older = fields_of(learner.get(path).text)
    phone = browser_of(LEARNER)
    autosave(phone, path, {"choice-question": "41"})
    told = learner.client.post(f"{path}/save", data={**older, "choice-question": "40", "sequence": "7"})
    assert (told.status_code, told.get_json()["state"]) == (409, "older")
    assert "another page or device" in told.get_json()["words"]
    page = learner.client.post(path, data={**older, "choice-question": "40", "go": "save"})
    assert page.status_code == 409
    assert 'value="41' in page.text


def test_going_back_in_the_browser_and_saving_again_keeps_the_change(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/2"
    hidden = fields_of(learner.get(path).text)
    for value in ("40", "41"):
        assert learner.client.post(path, data={**hidden, "choice-question": value, "go": "save"}).status_code == 303
    assert 'value="41' in learner.get(path).text


def test_an_unfinished_number_comes_back_as_it_was_typed(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/2"
    press(learner, path, {"choice-question": "about 4"})
    assert 'value="about 4"' in learner.get(path).text
    assert "begun and cannot be read yet" in learner.get(path.partition("/items")[0]).text


def test_a_form_with_fields_of_another_task_is_refused(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/2"
    assert press(learner, path, {"choice-unheard-of": "1"}).status_code == 400
    assert world.rows(SavedAnswerRow) == []


def test_the_drawing_shows_choices_without_saving_them(world: World, learner: Browser) -> None:
    path = f"{start(learner)}/items/1"
    hidden = fields_of(learner.get(path).text)
    answer = learner.client.post(path, data={**hidden, "choice-way4.type": "A", "show": "drawing"})
    assert answer.status_code == 200
    assert 'value="A" checked' in answer.text
    assert world.rows(SavedAnswerRow) == []


def test_the_review_comes_before_handing_in_and_names_what_is_missing(world: World, learner: Browser) -> None:
    """WCAG 2.2, 3.3.4: what is submitted can be reviewed and corrected before it counts."""
    path = start(learner)
    task = world.tasks(variant(world))[2]
    press(learner, f"{path}/items/2", form_of(task, right_answers(task)))
    review = learner.get(path).text
    assert "not answered" in review
    assert f'{path}/items/1"' in review
    assert "answers missing" in review
    item = learner.get(f"{path}/items/2").text
    assert "hand-in" not in item, "handing in is possible on the page of the review only"


def test_the_time_left_is_shown_and_warned_of_politely(world: World, learner: Browser) -> None:
    """WCAG 2.2, 2.2.1 and 4.1.3: warnings at ten, five and one minute, read out without taking the focus."""
    path = f"{start(learner)}/items/2"
    world.clock.pass_by(timedelta(minutes=10))
    page = learner.get(path).text
    assert ">50:00<" in page
    assert 'data-warn="600 300 60"' in page
    assert 'role="status" id="time-warning"' in page


def test_extra_time_larger_text_and_rest_breaks_are_there_for_the_person_who_has_them(
    world: World, learner: Browser
) -> None:
    arrange(world.storage, LEARNER, extra_time_percent=50, rest_breaks_s=600, larger_text=True)
    conditions = learner.get(f"/my-papers/{PAPER}").text
    assert "30 minutes of extra time" in conditions
    path = start(learner)
    page = learner.get(f"{path}/items/1").text
    assert ">90:00<" in page
    assert "larger.css" in page
    learner.post(f"{path}/break", page=path)
    world.clock.pass_by(timedelta(minutes=5))
    assert "The clock stands" in learner.get(path).text
    assert learner.get(f"{path}/items/1").headers["Location"] == path
    learner.post(f"{path}/go-on", page=path)
    assert ">90:00<" in learner.get(path).text


def test_without_arrangements_nothing_of_them_is_on_the_pages(world: World, learner: Browser) -> None:
    path = start(learner)
    for page in (f"/my-papers/{PAPER}", path, f"{path}/items/1"):
        text = learner.get(page).text
        assert "Rest break" not in text
        assert "larger.css" not in text
        assert "extra time" not in text


def test_when_the_time_is_up_the_pages_say_so_and_nothing_more_is_taken(world: World, learner: Browser) -> None:
    path = start(learner)
    fields = fields_of(learner.get(f"{path}/items/2").text)
    world.clock.pass_by(timedelta(hours=1, seconds=31))
    told = learner.client.post(f"{path}/items/2/save", data={**fields, "choice-question": "1"})
    assert (told.status_code, told.get_json()["state"]) == (409, "over")
    assert learner.get(path).headers["Location"] == f"{path}/result"
    assert "The time was up" in learner.get(f"{path}/result").text
    assert [row.number for row in world.rows(GradingRow)] == [1]


def test_five_wrong_codes_and_the_sixth_try_has_to_wait(world: World, learner: Browser) -> None:
    world.set_paper(access_code="amber-72")
    for _ in range(5):
        answer = learner.post(f"/my-papers/{PAPER}/start", {"number": "1", "code": "wrong"}, page="/join")
        assert answer.status_code == 400
        assert "This is not the code" in answer.text
        assert "amber" not in answer.text
    blocked = learner.post(f"/my-papers/{PAPER}/start", {"number": "1", "code": "amber-72"}, page="/join")
    assert blocked.status_code == 429
    world.clock.pass_by(timedelta(minutes=16))
    assert start(learner, code="AMBER 72").startswith("/sittings/")


def test_another_learner_of_the_same_college_is_told_that_there_is_no_such_page(
    world: World, learner: Browser, browser_of
) -> None:
    path = start(learner)
    other = browser_of("college-lecturer")
    assert other.get(f"/my-papers/{PAPER}").status_code == 404
    for page in ("", "/items/1", "/clock", "/result", "/result/1"):
        assert other.get(path + page).status_code == 404, page
    for page in ("/items/1", "/items/1/save", "/break", "/go-on", "/hand-in", "/appeal"):
        assert other.post(path + page, {"sender": "p", "sequence": "1", "base": "0"}, page="/join").status_code == 404


def test_a_note_on_the_marks_reaches_whoever_set_the_paper_after_the_release(world: World, learner: Browser) -> None:
    path = start(learner)
    learner.post(f"{path}/hand-in", page=path)
    early = learner.post(f"{path}/appeal", {"note": "task 2", "position": "2"}, page="/join")
    assert early.status_code == 400
    world.set_paper(state=PaperState.RELEASED.value)
    learner.post(f"{path}/appeal", {"note": "The unit was right.", "position": "2"}, page=f"{path}/result")
    assert "The unit was right." in learner.get(f"{path}/result").text


@pytest.mark.parametrize("page", ["/my-papers", f"/my-papers/{PAPER}"])
def test_a_visitor_has_to_sign_in(world: World, browser_of, page: str) -> None:
    assert "/sign-in" in browser_of().get(page).headers["Location"]
    assert NOON
    assert COLLEGE


@pytest.mark.parametrize(("last_beat_s", "marked_at_once"), [(10, False), (120, True)])
def test_the_marking_is_left_to_a_runner_that_gave_a_sign_of_life(
    world: World, learner: Browser, last_beat_s: int, marked_at_once: bool
) -> None:
    beat(world.storage.scopes(job_repositories), world.clock() - timedelta(seconds=last_beat_s))
    path = start(learner)
    learner.post(f"{path}/hand-in", page=path)
    assert "when they are released" in learner.get(f"{path}/result").text
    assert bool(world.rows(GradingRow)) is marked_at_once
