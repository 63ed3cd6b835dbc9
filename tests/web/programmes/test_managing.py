"""Programmes on their pages: set up, started, changed, who is in them."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.web.people.conftest import Browser, Clock, House
from tests.web.programmes.conftest import FORM, make, more_people
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import verified

Browsers = Callable[..., Browser]


def test_a_programme_starts_and_everybody_with_the_role_is_in_it(
    manager: Browser, programme: str, storage: SqlStorage
) -> None:
    page = manager.get(programme).text
    assert "Firm-Learner" in page
    assert "Firm-Lecturer" not in page
    # Started on 2 November 2026, first due after thirty days: counted on a calendar.
    assert "2 Dec 2026" in page


def test_whoever_comes_later_is_assigned_and_whoever_leaves_the_role_is_let_go(
    manager: Browser, programme: str, storage: SqlStorage
) -> None:
    more_people(storage, 2)
    manager.post(f"{programme}/assign", page=programme)
    assert "Person 00001" in manager.get(programme).text
    with storage.scopes(people_repositories).writing() as stored:
        from dataclasses import replace

        found = stored.members.get("firm", "p00001")
        stored.members.change(replace(found, trade_role_id=None))
    manager.post(f"{programme}/assign", page=programme)
    assert "Person 00001" not in manager.get(programme).text
    assert "Person 00001" in manager.get(f"{programme}?standing=ended").text


def test_a_programme_for_one_site_leaves_the_others_out(manager: Browser, storage: SqlStorage) -> None:
    more_people(storage, 1)
    address = make(manager, sites=["firm-yard"])
    manager.post(f"{address}/start", page=address)
    page = manager.get(address).text
    assert ("Person 00000" in page, "Firm-Learner" in page) == (True, False)


def test_people_are_narrowed_by_site_role_name_and_standing(
    manager: Browser, programme: str, storage: SqlStorage, clock: Clock
) -> None:
    more_people(storage, 1)
    manager.post(f"{programme}/assign", page=programme)

    def shown(query: str) -> set[str]:
        return set(re.findall(r"Person 00000|Firm-Learner", manager.get(f"{programme}?{query}").text))

    assert shown("site=firm-depot") == {"Firm-Learner"}
    assert shown("search=person") == {"Person 00000"}
    assert shown("role=firm-inspector") == set()
    assert shown("standing=warning") == {"Person 00000", "Firm-Learner"}
    clock.pass_by(timedelta(days=31))
    manager.sign_in("firm-training_manager")
    assert shown("standing=overdue") == {"Person 00000", "Firm-Learner"}
    assert shown("standing=warning") == set()


def test_an_excuse_has_a_reason_and_can_be_taken_back(manager: Browser, programme: str) -> None:
    page = manager.get(programme).text
    path = re.search(r"/assignments/[\w-]+/excuse", page)[0]
    assert manager.post(path, {"reason": " "}, page=programme).status_code == 400
    manager.post(path, {"reason": "on parental leave"}, page=programme)
    assert "on parental leave" in manager.get(programme).text
    manager.post(f"{path}/end", page=programme)
    assert "on parental leave" not in manager.get(programme).text


def test_two_managers_who_change_one_programme_are_told(manager: Browser, programme: str) -> None:
    form = f"{programme}/change"
    stale = re.search(r'name="revision"[^>]*value="(\d+)"', manager.get(form).text)[1]
    assert manager.post(form, {**FORM, "title": "First", "revision": stale}, page=form).status_code == 303
    second = manager.post(form, {**FORM, "title": "Second", "revision": stale}, page=form)
    assert (second.status_code, "changed by somebody else" in second.text) == (400, True)
    assert "First" in manager.get(programme).text


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("cycle_months", "0", "must be from 1 to 120"),
        ("cycle_months", "many", "valid integer"),
        ("warning_days", "336", "must be from 0 to 335"),
        ("pass_percent", "101", "must be from 1 to 100"),
        ("items", "21", "must be from 1 to 20"),
        ("title", "\u202e", "cannot be seen"),
        ("kinds", [], "choose one kind"),
        ("sites", ["college-site"], "not one of this organisation"),
        ("objective-firm-installer", ["LO99"], "not a learning objective"),
    ],
)
def test_a_form_that_cannot_be_kept_comes_back_with_the_reason(
    manager: Browser, field: str, value: object, said: str
) -> None:
    answer = manager.post("/programmes/new", {**FORM, field: value}, page="/programmes/new")
    assert (answer.status_code, said in answer.text) == (400, True), answer.text


def test_a_programme_that_wants_nothing_of_anybody_does_not_start(manager: Browser) -> None:
    address = make(manager, **{"objective-firm-installer": [], "objective-firm-inspector": []})
    # The page does not offer it, and says what is missing.
    page = manager.get(address).text
    assert "It cannot start yet" in page
    assert "Start and assign" not in page
    answer = manager.post(f"{address}/start", page="/programmes/new")
    assert (answer.status_code, "choose for one role" in answer.text) == (400, True)


@pytest.mark.parametrize("after", ["x", "~", "x~y", "2026-01-01~a", "2026-01-01T00:00:00%2B00:00~", "9" * 300 + "~a"])
def test_an_address_of_a_next_page_that_was_typed_wrongly_begins_at_the_start(
    manager: Browser, programme: str, after: str
) -> None:
    for path in (programme, "/programmes/matrix", "/programmes/changes", "/records"):
        assert manager.get(f"{path}?after={after}").status_code == 200


def test_people_are_paged_by_due_day_without_losing_anybody(
    manager: Browser, programme: str, storage: SqlStorage
) -> None:
    more_people(storage, 120)
    manager.post(f"{programme}/assign", page=programme)
    path: str | None = f"{programme}?search=person"
    seen: list[str] = []
    while path:
        page = manager.get(path).text
        seen += re.findall(r">(Person \d{5})<", page)
        found = re.search(r'href="([^"]+)">Next page', page)
        path = found[1].replace("&amp;", "&") if found else None
    assert sorted(seen) == [f"Person {number:05}" for number in range(120)]


def test_what_was_done_stands_in_the_log_and_the_chain_is_whole(
    manager: Browser, programme: str, storage: SqlStorage
) -> None:
    manager.post(f"{programme}/end", page=programme)
    with storage.scopes(SqlAuditLog).reading() as log:
        entries = list(log.all())
    assert verified(entries).problem == ""
    actions = [each.action for each in entries if each.action.startswith("programme.")]
    assert actions == ["programme.made", "programme.started", "programme.assigned", "programme.ended"]


def test_a_firm_without_roles_is_told_what_comes_first(college: House, browser_of: Browsers) -> None:
    assert "First" in browser_of("college-training_manager").get("/programmes").text


@pytest.fixture
def college(storage: SqlStorage) -> House:
    from tests.web.people.conftest import build

    return build(storage, "college")
