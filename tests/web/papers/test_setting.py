"""Setting a paper over HTTP: made, drawn, locked, and what is told when something does not fit."""

from __future__ import annotations

from tests.web.papers.conftest import LEARNERS, SETTINGS, SPARE, TASKS, made, moved, with_tasks
from tests.web.people.conftest import Browser, House
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage


def paper_of(storage: SqlStorage, address: str):
    with storage.scopes(paper_repositories).reading() as stored:
        return stored.papers.get("college", address.rpartition("/")[2])


def test_a_paper_is_made_drawn_and_locked_with_a_variant_for_everybody(lecturer: Browser, storage: SqlStorage) -> None:
    address = made(lecturer)
    with_tasks(lecturer, address)
    assert moved(lecturer, address, "locked", 2).status_code == 303
    paper = paper_of(storage, address)
    with storage.scopes(paper_repositories).reading() as stored:
        drawn = stored.papers.variants(paper.id)
        items = {number: stored.papers.variant(paper.id, number) for number in drawn}
    assert paper.state == "locked"
    # One for each learner and what is spare.
    assert list(drawn) == list(range(1, LEARNERS + SPARE + 1))
    assert {len(each) for each in items.values()} == {3}
    assert [each.marks_available for each in items[1]] == [10, 2, 2]
    assert len({each[0].seed for each in items.values()}) == len(drawn)


def test_the_preview_shows_the_key_to_staff_and_to_no_search_engine(lecturer: Browser) -> None:
    address = made(lecturer)
    with_tasks(lecturer, address)
    answer = lecturer.get(f"{address}/variants/1")
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert "Acceptable answers" in answer.text
    assert "(intended)" in answer.text
    assert "Caution" in answer.text


def test_a_pinned_task_is_everybodys_and_a_barred_one_is_gone(lecturer: Browser, storage: SqlStorage) -> None:
    from trainer.services.papers.blueprint import read_blueprint

    address = made(lecturer)
    with_tasks(lecturer, address)
    assert lecturer.post(f"{address}/variants/3/1", {"do": "pin"}, page="/papers/new").status_code == 303
    assert lecturer.post(f"{address}/variants/1/2", {"do": "bar"}, page="/papers/new").status_code == 303
    blueprint = read_blueprint(paper_of(storage, address).blueprint_json)
    assert len(blueprint.slots[0].pinned_seeds) == 1
    assert len(blueprint.barred_seeds) == 1
    seed = str(blueprint.slots[0].pinned_seeds[0])
    assert all(seed in lecturer.get(f"{address}/variants/{number}").text for number in (1, 2))
    assert str(blueprint.barred_seeds[0]) not in lecturer.get(f"{address}/variants/1").text


def test_a_slot_that_cannot_be_drawn_is_named_beside_its_fields(lecturer: Browser) -> None:
    address = made(lecturer)
    tasks = {**TASKS, "revision": "1", "slot-2-objective": ["LO39", "LO01", "LO03"]}
    answer = lecturer.post(f"{address}/tasks", tasks, page="/papers/new")
    assert answer.status_code == 400
    assert "cannot be drawn" in answer.text
    assert "part 2: objectives" in answer.text
    refused = moved(lecturer, address, "locked", 2)
    assert (refused.status_code, "part 2" in refused.text) == (400, True)


def test_fields_that_are_no_numbers_come_back_as_they_were_filled(lecturer: Browser) -> None:
    address = made(lecturer)
    answer = lecturer.post(f"{address}/tasks", {**TASKS, "revision": "1", "slot-1-count": "two"}, page="/papers/new")
    assert answer.status_code == 400
    assert 'value="two"' in answer.text
    assert "write a whole number" in answer.text


def test_slots_are_added_copied_moved_and_taken_out_without_script(lecturer: Browser) -> None:
    address = made(lecturer)

    def sent(action: str) -> str:
        return lecturer.post(f"{address}/tasks", {**TASKS, "revision": "1", "do": action}, page="/papers/new").text

    assert 'name="slots" value="3"' in sent("add")
    assert 'name="slots" value="3"' in sent("copy-1")
    assert 'name="slots" value="1"' in sent("remove-2")
    assert sent("up-2").index('value="question" selected') < sent("up-2").index('value="choose" selected')


def test_the_later_of_two_editors_is_told_and_loses_nothing(lecturer: Browser, storage: SqlStorage) -> None:
    address = made(lecturer)
    first = {**SETTINGS, "title": "From the first", "revision": "1"}
    assert lecturer.post(f"{address}/settings", first, page="/papers/new").status_code == 303
    second = {**SETTINGS, "title": "From the second", "revision": "1"}
    answer = lecturer.post(f"{address}/settings", second, page="/papers/new")
    assert answer.status_code == 409
    assert "somebody else changed this paper" in answer.text
    assert "From the second" in answer.text
    assert "From the first" in answer.text
    assert paper_of(storage, address).title == "From the first"
    again = {**second, "revision": "2"}
    assert lecturer.post(f"{address}/settings", again, page="/papers/new").status_code == 303
    assert paper_of(storage, address).title == "From the second"


def test_two_editors_of_the_tasks_are_told_too(lecturer: Browser) -> None:
    address = made(lecturer)
    with_tasks(lecturer, address)
    answer = lecturer.post(f"{address}/tasks", {**TASKS, "revision": "1", "slot-1-marks": "17"}, page="/papers/new")
    assert answer.status_code == 409
    assert "somebody else changed this paper" in answer.text
    assert 'value="17"' in answer.text


def test_a_locked_paper_is_not_edited_and_goes_back_to_a_draft_while_nobody_has_started(
    lecturer: Browser, storage: SqlStorage
) -> None:
    address = made(lecturer)
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    answer = lecturer.post(f"{address}/settings", {**SETTINGS, "revision": "3"}, page="/papers/new")
    assert (answer.status_code, "only a draft can be edited" in answer.text) == (400, True)
    assert moved(lecturer, address, "draft", 3).status_code == 303
    paper = paper_of(storage, address)
    with storage.scopes(paper_repositories).reading() as stored:
        assert list(stored.papers.variants(paper.id)) == []


def test_a_step_that_the_state_does_not_allow_is_refused_with_what_is_possible(lecturer: Browser) -> None:
    address = made(lecturer)
    answer = moved(lecturer, address, "released", 1)
    assert answer.status_code == 400
    assert "locked" in answer.text


def test_dates_and_numbers_out_of_range_are_said_together(lecturer: Browser) -> None:
    wrong = {
        **SETTINGS,
        "opens_at": "2026-11-03T10:00",
        "closes_at": "2026-11-03T09:00",
        "attempts_allowed": "0",
        "pass_percent": "120",
        "access_code": "!!!",
        "release_policy": "on_date",
    }
    answer = lecturer.post("/papers/new", wrong, page="/papers/new")
    assert answer.status_code == 400
    for words in ("must be after the opening", "must be from 1 to 20", "must be from 0 to 100", "give the date"):
        assert words in answer.text


def test_the_clock_opens_and_closes_a_paper(lecturer: Browser, storage: SqlStorage, clock) -> None:
    from datetime import timedelta

    address = made(lecturer, opens_at="2026-11-02T13:00", closes_at="2026-11-02T14:00")
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    clock.pass_by(timedelta(hours=1))
    lecturer.get(address)
    assert paper_of(storage, address).state == "open"
    clock.pass_by(timedelta(hours=1))
    lecturer.get("/papers/")
    assert paper_of(storage, address).state == "closed"


def test_a_lecturer_sees_no_paper_of_another_and_an_administrator_sees_all(
    lecturer: Browser, browser_of, college: House
) -> None:
    address = made(lecturer)
    other = browser_of("other")
    assert "Protection, first paper" not in other.get("/papers/").text
    assert other.get(address).status_code == 400
    assert moved(other, address, "locked", 1).status_code == 400
    assert browser_of("college-administrator").get(address).status_code == 200


def test_a_learner_opens_none_of_these_pages(lecturer: Browser, browser_of) -> None:
    address = made(lecturer)
    learner = browser_of("learner-1")
    assert learner.get("/papers/").status_code == 403
    assert learner.get(f"{address}/variants/1").status_code == 403


def test_arrangements_are_seen_by_those_who_act_on_the_paper(lecturer: Browser, browser_of) -> None:
    address = made(lecturer)
    needs = {"member_id": "learner-2", "extra_time_percent": "25", "rest_breaks_min": "10", "note": "quiet room"}
    assert lecturer.post(f"{address}/arrangements", needs, page="/papers/new").status_code == 303
    page = lecturer.get(f"{address}/arrangements").text
    assert "quiet room" in page
    assert "25\N{NO-BREAK SPACE}%" in page
    assert browser_of("other").get(f"{address}/arrangements").status_code == 400
    strange = {**needs, "member_id": "other"}
    refused = lecturer.post(f"{address}/arrangements", strange, page="/papers/new")
    assert (refused.status_code, "choose somebody who sits this paper" in refused.text) == (400, True)


def test_every_step_stands_in_the_audit_chain_without_secrets(lecturer: Browser, storage: SqlStorage) -> None:
    from trainer.services.operation.audit import verified

    address = made(lecturer)
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    lecturer.post(f"{address}/code", page="/papers/new")
    paper = paper_of(storage, address)
    with storage.scopes(paper_repositories).reading() as stored:
        entries = list(stored.audit.all())
    actions = [each.action for each in entries if each.subject_kind == "paper"]
    assert actions == ["paper.made", "paper.blueprint_changed", "paper.locked", "paper.code_made"]
    assert verified(entries).broken_at is None
    assert not any(paper.access_code in each.details_json or paper.variant_key in each.details_json for each in entries)


def test_a_supervised_paper_has_a_code_once_it_is_locked(lecturer: Browser, storage: SqlStorage) -> None:
    address = made(lecturer, mode="supervised")
    with_tasks(lecturer, address)
    assert paper_of(storage, address).access_code is None
    moved(lecturer, address, "locked", 2)
    code = paper_of(storage, address).access_code
    assert code is not None
    assert code in lecturer.get(address).text
