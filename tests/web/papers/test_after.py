"""After the sitting: marks by number, changes with a reason, two persons for the release, notes, figures, files."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flask import Flask

from tests.web.papers.after import RIGHT, id_of, lines
from tests.web.papers.conftest import made, moved, with_tasks
from tests.web.papers.sitters import sat
from tests.web.people.conftest import Browser
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage


def test_marks_are_those_of_the_items_and_names_are_not_shown_before_the_release(
    lecturer: Browser, storage: SqlStorage, closed: str
) -> None:
    assert {name: each.marks for name, each in lines(storage, closed).items()} == {
        name: marks for name, (_, marks) in RIGHT.items()
    }
    page = lecturer.get(f"{closed}/marks").text
    for name, each in lines(storage, closed).items():
        assert each.candidate_number in page
        assert name.title() not in page
        sitting = lecturer.get(f"/papers/sittings/{each.id}").text
        assert name.title() not in sitting
        assert "Caution" in sitting


def test_nobodys_marks_are_read_while_the_paper_is_sat(lecturer: Browser) -> None:
    address = made(lecturer)
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    moved(lecturer, address, "open", 3)
    answer = lecturer.get(f"{address}/marks")
    assert (answer.status_code, "close it first" in answer.text) == (400, True)
    assert lecturer.get(f"{address}/figures").status_code == 400


def test_the_live_view_names_who_sits_and_no_candidate_number(
    lecturer: Browser, storage: SqlStorage, closed: str
) -> None:
    page = lecturer.get(f"{closed}/live").text
    assert len(lines(storage, closed)) > 1
    for name, each in lines(storage, closed).items():
        assert name.title() in page
        assert each.candidate_number not in page


def test_a_changed_mark_counts_with_its_reason_and_can_be_taken_back(
    lecturer: Browser, storage: SqlStorage, closed: str
) -> None:
    sitting = lines(storage, closed)["learner-2"].id
    address = f"/papers/sittings/{sitting}/marks/2"
    for wrong in (
        {"marks": "1"},
        {"marks": "3", "reason": "above what there is"},
        {"marks": "x", "reason": "no number"},
    ):
        assert lecturer.post(address, wrong, page="/papers/new").status_code == 400
    done = lecturer.post(address, {"marks": "1", "reason": "half of it was right"}, page="/papers/new")
    assert done.status_code == 303
    assert lines(storage, closed)["learner-2"].marks == 13
    page = lecturer.get(f"{closed}/marks").text
    assert "half of it was right" in page
    with storage.scopes(paper_repositories).reading() as stored:
        change = stored.moderations.of_paper("college", id_of(closed))[0]
    assert (change.marks_before, change.marks_after) == (0, 1)
    lecturer.post(f"{closed}/changes/{change.id}/withdraw", page="/papers/new")
    assert lines(storage, closed)["learner-2"].marks == 12


def test_a_voided_item_counts_for_nobody(lecturer: Browser, storage: SqlStorage, closed: str) -> None:
    lecturer.post(f"{closed}/void", {"position": "1", "reason": "the sheet was misprinted"}, page="/papers/new")
    # By hand: without the ten marks of task 1.
    assert {name: (each.marks, each.marks_available) for name, each in lines(storage, closed).items()} == {
        "learner-1": (4, 4),
        "learner-2": (2, 4),
        "learner-3": (2, 4),
        "learner-4": (0, 4),
    }
    twice = lecturer.post(f"{closed}/void", {"position": "1", "reason": "once more"}, page="/papers/new")
    assert (twice.status_code, "voided already" in twice.text) == (400, True)


def test_after_the_release_names_are_shown_and_marks_stand(lecturer: Browser, storage: SqlStorage, closed: str) -> None:
    moved(lecturer, closed, "moderated", 5)
    moved(lecturer, closed, "released", 6)
    page = lecturer.get(f"{closed}/marks").text
    assert "Learner-1" in page
    sitting = lines(storage, closed)["learner-4"].id
    refused = lecturer.post(
        f"/papers/sittings/{sitting}/marks/1", {"marks": "5", "reason": "too late for that"}, page="/papers/new"
    )
    assert (refused.status_code, "an appeal that was upheld" in refused.text) == (400, True)


def test_a_second_person_confirms_the_release_where_the_organisation_wants_it(
    lecturer: Browser, browser_of, storage: SqlStorage, closed: str
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        organisation = stored.organisations.get("college")
        stored.organisations.change(replace(organisation, release_needs_second_person=True))
    moved(lecturer, closed, "moderated", 5)
    assert moved(lecturer, closed, "released", 6).status_code == 303
    assert state(storage, closed) == "moderated"
    page = lecturer.get(closed).text
    assert "an administrator, or another lecturer of one of its groups" in page
    assert 'value="released"' not in page
    alone = moved(lecturer, closed, "released", 7)
    assert (alone.status_code, "somebody else of the staff" in alone.text) == (400, True)
    assert moved(browser_of("college-administrator"), closed, "released", 7).status_code == 303
    assert state(storage, closed) == "released"


def test_a_paper_enters_the_plan_of_its_learner_with_the_release_and_not_before(
    lecturer: Browser, browser_of, closed: str
) -> None:
    """Learner 4 has everything wrong, and never practised."""
    learner = browser_of("learner-4")
    assert "Nothing is planned yet" in learner.get("/plan").text
    moved(lecturer, closed, "moderated", 5)
    assert "Nothing is planned yet" in learner.get("/plan").text
    moved(lecturer, closed, "released", 6)
    page = learner.get("/plan").text
    assert "Missed the last time" in page
    assert "Choose between types AC, A, F and B" in page
    assert "Nothing handed in yet" not in learner.get("/progress").text
    assert "Nothing is kept about you yet" not in learner.get("/plan/data").text
    assert learner.get("/plan/data.json").status_code == 200


def test_what_is_not_safe_to_energise_carries_its_mark_beside_the_result(lecturer: Browser, closed: str) -> None:
    page = lecturer.get(f"{closed}/marks").text
    assert '<span class="state is-fail small unsafe">' in page


def state(storage: SqlStorage, address: str) -> str:
    with storage.scopes(paper_repositories).reading() as stored:
        return stored.papers.get("college", id_of(address)).state


def test_the_clock_releases_settled_marks_on_their_date_and_no_others(
    lecturer: Browser, app: Flask, storage: SqlStorage, clock
) -> None:
    from datetime import timedelta

    address = made(lecturer, release_policy="on_date", release_at="2026-11-02T13:00")
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    moved(lecturer, address, "open", 3)
    sat(app, storage, id_of(address), "learner-1", RIGHT["learner-1"][0])
    moved(lecturer, address, "closed", 4)
    clock.pass_by(timedelta(hours=1))
    lecturer.get(address)
    assert state(storage, address) == "closed"
    moved(lecturer, address, "moderated", 5)
    lecturer.get(address)
    assert state(storage, address) == "released"
    with storage.scopes(paper_repositories).reading() as stored:
        assert stored.papers.get("college", id_of(address)).released_at == clock.now


def test_a_learners_note_is_answered_and_lets_the_mark_be_changed(
    lecturer: Browser, browser_of, storage: SqlStorage, closed: str
) -> None:
    moved(lecturer, closed, "moderated", 5)
    moved(lecturer, closed, "released", 6)
    sitting = lines(storage, closed)["learner-4"].id
    learner = browser_of("learner-4")
    note = {"position": "1", "note": "My type B complies here."}
    assert learner.post(f"/sittings/{sitting}/appeal", note, page="/join").status_code in (302, 303)
    assert "My type B complies here." in lecturer.get(f"{closed}/marks").text
    # Whoever set the paper comes upon it where the papers are listed, and on the page of the paper.
    assert "1 note to answer" in lecturer.get("/papers/").text
    assert "1 note to answer" in lecturer.get(closed).text
    with storage.scopes(paper_repositories).reading() as stored:
        appeal = stored.appeals.of_paper("college", id_of(closed))[0]
    answer = {"upheld": "yes", "answer": "You are right, the sheet allows it."}
    assert lecturer.post(f"/papers/appeals/{appeal.id}", answer, page="/papers/new").status_code == 303
    assert "note to answer" not in lecturer.get("/papers/").text + lecturer.get(closed).text
    changed = {"marks": "10", "reason": "note upheld"}
    assert lecturer.post(f"/papers/sittings/{sitting}/marks/1", changed, page="/papers/new").status_code == 303
    assert lines(storage, closed)["learner-4"].marks == 10


def test_a_paper_that_somebody_still_sits_is_not_settled(lecturer: Browser, app: Flask, storage: SqlStorage) -> None:
    from tests.web.papers.sitters import here_as
    from trainer.services.sittings.starting import Starting
    from trainer.web.sittings.wired import sitting_desk

    address = made(lecturer)
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    moved(lecturer, address, "open", 3)
    with app.app_context():
        sitting_desk(Starting).start(here_as(storage, "learner-1"), id_of(address), 1, "")
    moved(lecturer, address, "closed", 4)
    answer = moved(lecturer, address, "moderated", 5)
    assert (answer.status_code, "still being sat: 1" in answer.text) == (400, True)
    # The page does not offer what would be refused, and says why.
    page = lecturer.get(address).text
    assert "1 person is still sitting it." in page
    assert 'value="moderated"' not in page


def test_figures_say_what_they_rest_on_and_follow_a_change(lecturer: Browser, storage: SqlStorage, closed: str) -> None:
    page = lecturer.get(f"{closed}/figures").text
    assert "Provisional" in page
    assert "These figures rest on 4 sittings." in page
    with storage.scopes(paper_repositories).reading() as stored:
        first = stored.figures.get(id_of(closed), "")
    # By hand: two of four had each task; 14, 12, 2 and 0 of 14 marks are 50 % in the mean.
    assert [each["facility"] for each in figures(first)["items"]] == [0.5, 0.5, 0.5]
    assert figures(first)["result"]["mean_percent"] == 50.0
    lecturer.get(f"{closed}/figures")
    lecturer.post(f"{closed}/void", {"position": "2", "reason": "the sheet was misprinted"}, page="/papers/new")
    lecturer.get(f"{closed}/figures")
    with storage.scopes(paper_repositories).reading() as stored:
        second = stored.figures.get(id_of(closed), "")
    assert second.basis_hash != first.basis_hash
    assert [each["position"] for each in figures(second)["items"]] == [1, 3]


def test_answers_to_questions_stand_in_their_words_whatever_their_place_in_a_variant(
    lecturer: Browser, storage: SqlStorage, app: Flask, closed: str
) -> None:
    from trainer.domain.asks.answers import told
    from trainer.domain.asks.forms import AskForm
    from trainer.web.practice.writing import StoredForm

    lecturer.get(f"{closed}/figures")
    with storage.scopes(paper_repositories).reading() as stored:
        found = figures(stored.figures.get(id_of(closed), ""))
        marks = [each for each in stored.sittings.item_marks(id_of(closed)) if each.position > 1]
        tasks = {
            (e.sitting_id, e.position): StoredForm().read_task(stored.tasks.get(e.content_hash).content) for e in marks
        }
        outcomes = [each for each in stored.sittings.outcomes(id_of(closed)) if each.position > 1]
    expected: dict[tuple[int, str], int] = {}
    for each in outcomes:
        ask = tasks[each.sitting_id, each.position].asks[0]
        if ask.form in (AskForm.ONE, AskForm.SEVERAL):
            place = each.position, told(ask, each.chosen)
            expected[place] = expected.get(place, 0) + 1
    listed: dict[tuple[int, str], int] = {}
    for one in found["choices"]:
        for answer in one["answers"]:
            # The same words may be right in one variant and wrong in another: two lines of the table.
            place = one["position"], answer["chosen"]
            listed[place] = listed.get(place, 0) + answer["times"]
    assert expected.items() <= listed.items()
    # Nothing is listed under a place such as b, or a>c.
    assert not any(len(chosen) == 1 or ">" in chosen for position, chosen in listed if position > 1)


def figures(stored) -> dict:
    import json

    return json.loads(stored.figures_json)


def test_discrimination_and_alpha_are_those_of_the_published_formulas(
    lecturer: Browser, storage: SqlStorage, closed: str
) -> None:
    """scipy's correlation of the item with the rest, and Cronbach's formula written out with numpy."""
    import numpy as np
    from scipy.stats import pearsonr

    lecturer.get(f"{closed}/figures")
    with storage.scopes(paper_repositories).reading() as stored:
        found = figures(stored.figures.get(id_of(closed), ""))
    earned = np.array([[10, 2, 2], [10, 0, 2], [0, 2, 0], [0, 0, 0]], dtype=float)
    for place, each in enumerate(found["items"]):
        rest = earned.sum(axis=1) - earned[:, place]
        assert each["discrimination"] == pytest.approx(pearsonr(earned[:, place], rest).statistic, abs=5e-5)
    spread = earned.var(axis=0, ddof=1).sum() / earned.sum(axis=1).var(ddof=1)
    assert found["reliability"]["alpha"] == pytest.approx(3 / 2 * (1 - spread), abs=5e-5)


def test_objectives_by_learner_are_a_table_with_the_words_below(lecturer: Browser, closed: str) -> None:
    page = lecturer.get(f"{closed}/objectives").text
    assert "LO02" in page
    assert "Choose between types AC, A, F and B" in page
    assert "is-weak" in page


def test_every_page_parses_and_names_each_id_once(lecturer: Browser, storage: SqlStorage, closed: str) -> None:
    """html5lib: the parsing rules of the WHATWG HTML standard."""
    import html5lib
    from lxml import html

    sitting = lines(storage, closed)["learner-4"].id
    refused = lecturer.post(f"/papers/sittings/{sitting}/marks/1", {"marks": "99", "reason": "x"}, page="/papers/new")
    pages = {"refused": refused.text} | {
        path: lecturer.get(path).text
        for path in (
            "/papers/",
            "/papers/new",
            closed,
            *(f"{closed}/{part}" for part in ("marks", "figures", "objectives", "live", "arrangements", "again")),
            f"{closed}/variants/1",
            f"/papers/sittings/{sitting}",
        )
    }
    for name, text in pages.items():
        parser = html5lib.HTMLParser(strict=False)
        parser.parse(text)
        assert [code for _, code, _ in parser.errors] == [], name
        tree = html.fromstring(text)
        ids = tree.xpath("//@id")
        assert {each for each in ids if ids.count(each) > 1} == set(), name
        named = [
            each for value in tree.xpath("//@for|//@aria-labelledby|//@aria-describedby") for each in value.split()
        ]
        assert set(named) <= set(ids), name
