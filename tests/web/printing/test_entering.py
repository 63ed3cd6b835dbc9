"""Ticks copied from paper: the same marks as on the screen, nothing lost, nothing twice, what is missing is told."""

from __future__ import annotations

import pytest
from lxml import html
from sqlalchemy import select

from tests.web.papers.conftest import moved
from tests.web.papers.sitters import sat
from tests.web.people.conftest import Browser
from trainer.domain.asks.forms import AskForm
from trainer.domain.tasks import Task
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.sittings import GradingRow, SittingRow
from trainer.web.asked.forms import field_of
from trainer.web.practice.writing import StoredForm

# By the fixture: a choice of 10 marks, three questions of 2, an inspection of 7, readings of 5.
ALL_MARKS = 10 + 3 * 2 + 7 + 5
NAME = "learner-1"


def tasks(storage: SqlStorage, paper: str, variant: int = 1) -> dict[int, Task]:
    with storage.scopes(paper_repositories).reading() as stored:
        items = stored.papers.variant(paper.rpartition("/")[2], variant)
        kept = {each.position: stored.tasks.get(each.content_hash) for each in items}
    return {position: StoredForm().read_task(task.content) for position, task in kept.items()}


def ticked(task: Task, position: int) -> dict[str, object]:
    """The key of a task as the fields of its rows."""
    own, fields = f"t{position}.", {}
    for name, option in task.key.intended.items():
        fields[f"{own}choice-{name}"] = option
    for ask in task.asks:
        model = task.key.asks[ask.id].model
        if ask.form is AskForm.SEVERAL:
            fields[f"{own}choice-{ask.id}"] = model.split("+")
        elif ask.form is AskForm.ORDER:
            for place, each in enumerate(model.split(">"), start=1):
                fields[own + field_of(ask, each)] = str(place)
        elif ask.form is AskForm.MATCH:
            for left, _, right in (pair.partition("=") for pair in model.split("+")):
                fields[own + field_of(ask, left)] = right
        else:
            fields[f"{own}choice-{ask.id}"] = model
    return fields


def whole(storage: SqlStorage, paper: str) -> dict[str, object]:
    """Everything ticked as the key has it."""
    found: dict[str, object] = {}
    for position, task in tasks(storage, paper).items():
        found |= ticked(task, position)
    return found


def begun(browser: Browser, paper: str, **fields: str) -> str:
    """The address of a new entry."""
    answer = browser.post(f"{paper}/on-paper", {"member": NAME, "variant": "1", **fields}, page="/papers/new")
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"]


def revision(browser: Browser, address: str) -> str:
    return html.fromstring(browser.get(address).text).xpath("//input[@name='revision']/@value")[0]


def saved(browser: Browser, address: str, fields: dict[str, object], **more: str):
    sent = {"revision": revision(browser, address), "do": "save", **fields, **more}
    return browser.post(address, sent, page="/papers/new")


def handed_in(browser: Browser, address: str, **more: str):
    sent = {"revision": revision(browser, f"{address}/check"), **more}
    return browser.post(f"{address}/check", sent, page="/papers/new")


def rows(storage: SqlStorage, table):
    with storage.database.reading() as session:
        return list(session.scalars(select(table)))


def test_a_paper_that_is_ticked_as_its_key_has_it_gets_all_marks_and_counts_as_any_sitting(
    lecturer: Browser, paper: str, storage: SqlStorage
) -> None:
    moved(lecturer, paper, "open", 3)
    entry = begun(lecturer, paper)
    assert saved(lecturer, entry, whole(storage, paper), do="check").headers["Location"] == f"{entry}/check"
    assert handed_in(lecturer, entry).status_code == 303
    (sitting,) = rows(storage, SittingRow)
    assert (sitting.member_id, sitting.variant, sitting.handed_in_by) == (NAME, 1, "staff")
    assert (sitting.marks, sitting.marks_available) == (ALL_MARKS, ALL_MARKS)
    assert sitting.safe_to_energise
    assert "entered from paper" in lecturer.get(f"{paper}/on-paper").text
    moved(lecturer, paper, "closed", 4)
    assert f"{ALL_MARKS} of {ALL_MARKS}" in lecturer.get(f"{paper}/marks").text
    assert lecturer.get(f"{paper}/figures").status_code == 200


def test_paper_and_screen_give_the_same_marks_for_the_same_answers(
    lecturer: Browser, paper: str, storage: SqlStorage, app
) -> None:
    """The same right and wrong tasks, entered here and sat there, by two learners with the same variant."""
    moved(lecturer, paper, "open", 3)
    right = {1: True, 2: False, 3: True, 4: False, 5: True, 6: True}
    sat(app, storage, paper.rpartition("/")[2], "learner-2", right)
    on_screen = rows(storage, SittingRow)[0]
    entry = begun(lecturer, paper, variant=str(on_screen.variant))
    fields: dict[str, object] = {}
    for position, task in tasks(storage, paper, on_screen.variant).items():
        if right[position]:
            fields |= ticked(task, position)
    saved(lecturer, entry, fields)
    handed_in(lecturer, entry, stands="yes")
    on_paper = next(each for each in rows(storage, SittingRow) if each.member_id == NAME)
    assert on_paper.marks == on_screen.marks


def test_what_is_missing_or_cannot_be_an_answer_is_named_and_must_be_confirmed(
    lecturer: Browser, paper: str, storage: SqlStorage
) -> None:
    entry = begun(lecturer, paper)
    choose = tasks(storage, paper)[1]
    fields = {name: value for name, value in whole(storage, paper).items() if not name.startswith("t1.")}
    saved(lecturer, entry, fields)
    page = lecturer.get(f"{entry}/check").text
    for decision in choose.decisions:
        assert decision.question in html.fromstring(page).text_content()
    assert handed_in(lecturer, entry).status_code == 400
    assert rows(storage, SittingRow) == []
    assert handed_in(lecturer, entry, stands="yes").status_code == 303
    assert rows(storage, SittingRow)[0].marks == ALL_MARKS - 10


def test_ticks_that_exclude_each_other_are_kept_and_told(lecturer: Browser, paper: str, storage: SqlStorage) -> None:
    entry = begun(lecturer, paper)
    position, ask = next((position, ask) for position, task in tasks(storage, paper).items() for ask in task.asks)
    saved(lecturer, entry, {f"t{position}.choice-{ask.id}": ["what", "is", "this"]})
    page = lecturer.get(entry).text
    assert "cannot be an answer" in page
    assert "Cannot be an answer" in lecturer.get(f"{entry}/check").text


def test_of_two_who_enter_one_paper_the_second_is_told_and_nothing_is_lost(
    lecturer: Browser, paper: str, storage: SqlStorage
) -> None:
    entry, fields = begun(lecturer, paper), whole(storage, paper)
    seen = revision(lecturer, entry)
    assert saved(lecturer, entry, fields).status_code == 303
    late = lecturer.post(entry, {"revision": seen, "do": "save"}, page="/papers/new")
    assert late.status_code == 409
    assert "saved by somebody else" in late.text
    assert handed_in(lecturer, entry).status_code == 303
    assert rows(storage, SittingRow)[0].marks == ALL_MARKS


def test_handed_in_twice_makes_one_sitting_and_one_marking(lecturer: Browser, paper: str, storage: SqlStorage) -> None:
    entry = begun(lecturer, paper)
    saved(lecturer, entry, whole(storage, paper))
    seen = revision(lecturer, f"{entry}/check")
    answers = [lecturer.post(f"{entry}/check", {"revision": seen}, page="/papers/new").status_code for _ in range(2)]
    assert answers == [303, 303]
    assert "Nothing waits here to be handed in" in lecturer.get(f"{paper}/on-paper").text
    assert len(rows(storage, SittingRow)) == len(rows(storage, GradingRow)) == 1
    again = lecturer.post(f"{paper}/on-paper", {"member": NAME, "variant": "1"}, page="/papers/new")
    assert again.status_code == 400
    assert "handed in already" in again.text


def fields_of(browser: Browser, address: str) -> dict[str, str]:
    """The hidden fields of a form."""
    form = html.fromstring(browser.get(address).text).xpath("//form[.//input[@name='revision']]")[0]
    found = form.xpath(".//input[@type='hidden']")
    return {each.get("name"): each.get("value") for each in found if each.get("name") != "csrf_token"}


def test_a_form_that_was_handed_in_hands_in_no_second_attempt(
    lecturer: Browser, storage: SqlStorage, paper_of_two_attempts: str
) -> None:
    paper = paper_of_two_attempts
    entry = begun(lecturer, paper)
    saved(lecturer, entry, whole(storage, paper))
    sent = fields_of(lecturer, f"{entry}/check")
    assert lecturer.post(f"{entry}/check", sent, page="/papers/new").status_code == 303
    saved(lecturer, begun(lecturer, paper), {})
    assert lecturer.post(f"{entry}/check", {**sent, "stands": "yes"}, page="/papers/new").status_code == 303
    assert len(rows(storage, SittingRow)) == 1
    assert "Nothing was handed in twice" in lecturer.get(f"{paper}/on-paper").text
    assert lecturer.get(entry).status_code == 200


def test_ticks_of_one_variant_are_not_taken_for_those_of_another_that_was_begun_meanwhile(
    lecturer: Browser, paper: str, storage: SqlStorage
) -> None:
    moved(lecturer, paper, "open", 3)
    entry = begun(lecturer, paper)
    sent = {**fields_of(lecturer, entry), **whole(storage, paper), "do": "save"}
    assert lecturer.post(f"{entry}/forget", {}, page="/papers/new").status_code == 303
    with storage.scopes(paper_repositories).reading() as stored:
        other = next(each for each in stored.papers.variants(paper.rpartition("/")[2]) if each != 1)
    begun(lecturer, paper, variant=str(other))
    late = lecturer.post(entry, sent, page="/papers/new")
    assert late.status_code == 409
    assert "was begun anew with another variant" in late.text
    assert revision(lecturer, entry) == "1"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"variant": "99"}, "is not one that was printed"),
        ({"variant": "one"}, "is not one that was printed"),
        ({"member": "other"}, "not set for a group of theirs"),
        ({"member": ""}, "not set for a group of theirs"),
    ],
)
def test_a_wrong_person_or_variant_is_refused_before_anything_is_entered(
    lecturer: Browser, paper: str, fields: dict[str, str], said: str
) -> None:
    answer = lecturer.post(f"{paper}/on-paper", {"member": NAME, "variant": "1", **fields}, page="/papers/new")
    assert answer.status_code == 400
    assert said in answer.text


def test_the_log_tells_who_entered_what_paper_and_no_answers(
    lecturer: Browser, paper: str, storage: SqlStorage
) -> None:
    entry, fields = begun(lecturer, paper), whole(storage, paper)
    saved(lecturer, entry, fields)
    handed_in(lecturer, entry)
    found = [each for each in rows(storage, AuditRow) if each.subject_kind == "sitting"]
    assert [each.action for each in found] == ["sitting.entered_from_paper", "sitting.graded"]
    assert found[0].actor_id == "college-lecturer"
    assert found[0].details_json == f'{{"number":1,"paper":"{paper.rpartition("/")[2]}","tasks":6,"variant":1}}'


def test_the_learner_sees_nothing_of_an_entry_and_another_lecturer_cannot_open_it(
    lecturer: Browser, paper: str, storage: SqlStorage, browser_of
) -> None:
    entry = begun(lecturer, paper)
    saved(lecturer, entry, whole(storage, paper))
    assert browser_of(NAME).get(entry).status_code == 403
    assert browser_of("other").get(entry).status_code in (400, 404)
    assert rows(storage, SittingRow) == []


def test_an_entry_that_belongs_to_nobody_s_paper_is_forgotten_on_request(lecturer: Browser, paper: str) -> None:
    entry = begun(lecturer, paper)
    assert lecturer.post(f"{entry}/forget", {}, page="/papers/new").status_code == 303
    assert lecturer.get(entry).status_code == 404
