"""Joining by a code, accounts of one's own, and what was practised before."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from tests.web.people.conftest import PASSWORD, Browser, Clock, House, member
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.words import GroupPart, MemberState, Role

Browsers = Callable[..., Browser]


@pytest.fixture
def code(college: House, browser_of: Browsers) -> str:
    """The code of a group that a lecturer made, as it stands on the wall."""
    lecturer = browser_of("college-lecturer")
    group = lecturer.post("/organisation/groups", {"name": "Evening"}, page="/organisation/groups").headers["Location"]
    shown = lecturer.post(f"{group}/code", page=group, follow_redirects=True).text
    return re.search(r'shown-code">([^<]+)<', shown)[1]


def new_account(browser: Browser, name: str, **more: object):
    data = {"sign_in_name": name, "display_name": name.title(), "password": PASSWORD, **more}
    return browser.post("/account/new", data, page="/account/new")


def groups_of(storage: SqlStorage, name: str) -> list[tuple[str, GroupPart]]:
    with storage.scopes(people_repositories).reading() as stored:
        person = stored.people.by_sign_in_name(name)
        assert person is not None
        return [
            (group.name, part)
            for each in stored.members.of_person(person.id)
            for group, part in stored.groups.of_member(each.organisation_id, each.member_id)
        ]


def test_a_code_from_the_wall_leads_to_an_account_in_the_group(
    code: str, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of()
    answer = browser.post("/join", {"code": code.lower()}, page="/join")
    form = browser.get(answer.headers["Location"]).text
    assert "Evening" in form
    assert "The college" in form
    plain = code.replace("-", "")
    assert new_account(browser, "newcomer", code=plain).status_code == 303
    assert groups_of(storage, "newcomer") == [("Evening", GroupPart.LEARNS)]
    assert "The college" in browser.get("/account").text


def test_an_account_that_is_signed_in_joins_at_once_and_twice_changes_nothing(
    code: str, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of("college-learner")
    for _ in range(2):
        assert browser.post("/join", {"code": code}, page="/join").status_code == 303
    assert groups_of(storage, "college-learner") == [("Evening", GroupPart.LEARNS)]


def test_a_lecturer_who_tries_the_own_code_goes_on_teaching(
    code: str, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser_of("college-lecturer").post("/join", {"code": code}, page="/join")
    assert groups_of(storage, "college-lecturer") == [("Evening", GroupPart.TEACHES)]


def test_the_code_of_another_organisation_makes_a_second_membership(
    code: str, firm: House, browser_of: Browsers
) -> None:
    browser = browser_of("firm-learner")
    browser.post("/join", {"code": code}, page="/join")
    page = browser.get("/account").text
    assert "The college" in page
    assert "Work there" in page


def test_a_code_ends_after_a_week_or_when_it_is_ended(code: str, browser_of: Browsers, clock: Clock) -> None:
    clock.pass_by(timedelta(days=7))
    answer = browser_of().post("/join", {"code": code}, page="/join")
    assert (answer.status_code, "opens no group" in answer.text) == (400, True)


def test_a_new_code_ends_the_one_before(code: str, browser_of: Browsers) -> None:
    lecturer = browser_of("college-lecturer")
    group = re.search(r"/organisation/groups/[\w-]+", lecturer.get("/organisation/groups").text)[0]
    lecturer.post(f"{group}/code", page=group)
    assert browser_of().post("/join", {"code": code}, page="/join").status_code == 400


def test_a_code_that_is_used_up_lets_exactly_the_allowed_number_in(
    code: str, storage: SqlStorage, college: House
) -> None:
    plain = code.replace("-", "")

    def use(_number: int) -> bool:
        from tests.web.conftest import NOON

        with storage.scopes(people_repositories).writing() as stored:
            return stored.groups.use_code(plain, NOON)

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(use, range(110))) == 100


def test_a_membership_that_ended_is_not_opened_again_by_a_code(
    code: str, browser_of: Browsers, storage: SqlStorage
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        found = stored.members.get("college", "college-learner")
        stored.members.change(
            member("college-learner", "college", Role.LEARNER, person_id=found.person_id, state=MemberState.ENDED)
        )
    answer = browser_of("college-learner").post("/join", {"code": code}, page="/join")
    assert (answer.status_code, "has ended" in answer.text) == (400, True)


def test_a_code_typed_wrongly_five_times_rests_for_a_quarter_of_an_hour(
    code: str, browser_of: Browsers, clock: Clock
) -> None:
    browser = browser_of("college-learner")
    for _ in range(5):
        assert browser.post("/join", {"code": "AAAA-AAAA"}, page="/join").status_code == 400
    assert browser.post("/join", {"code": code}, page="/join").status_code == 429
    # Somebody else in the same room, behind the same address, goes on.
    assert browser_of("college-administrator").post("/join", {"code": code}, page="/join").status_code == 303
    clock.pass_by(timedelta(minutes=15))
    assert browser.post("/join", {"code": code}, page="/join").status_code == 303


def test_visitors_of_one_room_do_not_count_for_each_other(code: str, browser_of: Browsers) -> None:
    clumsy = browser_of()
    for _ in range(5):
        clumsy.post("/join", {"code": "AAAA-AAAA"}, page="/join")
    assert clumsy.post("/join", {"code": code}, page="/join").status_code == 429
    assert browser_of().post("/join", {"code": code}, page="/join").status_code == 303


def test_whoever_drops_the_cookie_each_time_is_counted_by_address(code: str, browser_of: Browsers) -> None:
    answers = [browser_of().post("/join", {"code": "AAAA-AAAA"}, page="/join").status_code for _ in range(121)]
    assert answers == [400] * 120 + [429]


def test_a_name_that_is_taken_and_a_weak_password_come_back_to_their_fields(
    college: House, browser_of: Browsers
) -> None:
    browser = browser_of()
    taken = new_account(browser, "college-learner")
    assert (taken.status_code, "is taken" in taken.text) == (400, True)
    weak = new_account(browser, "newcomer", password="password1234")
    assert (weak.status_code, 'aria-invalid="true"' in weak.text, "tried first" in weak.text) == (400, True, True)
    assert "password1234" not in weak.text


def test_two_who_choose_one_name_at_once_make_one_account(app, storage: SqlStorage) -> None:
    def make(_number: int) -> int:
        return new_account(Browser(app.test_client()), "racer").status_code

    with ThreadPoolExecutor(4) as pool:
        answers = sorted(pool.map(make, range(4)))
    assert answers == [303, 400, 400, 400]


def practise(browser: Browser) -> str:
    return browser.post("/practise", {"level": "1"}, page="/practise").headers["Location"]


def learner_of(storage: SqlStorage, name: str) -> str | None:
    with storage.scopes(people_repositories).reading() as stored:
        person = stored.people.by_sign_in_name(name)
        assert person is not None
        return person.learner_id


def hand_in(browser: Browser, page: str) -> None:
    text = browser.get(page).text
    names = dict.fromkeys(re.findall(r'name="(choice-[^"]+)"', text))
    data = {name: re.search(rf'name="{re.escape(name)}" value="([^"]+)"', text)[1] for name in names}
    assert browser.post(page, data, page=page).status_code == 303


def test_what_was_practised_without_an_account_comes_along(browser_of: Browsers, storage: SqlStorage) -> None:
    browser = browser_of()
    hand_in(browser, practise(browser))
    before = browser.get("/progress").text
    assert "By objective" in before
    new_account(browser, "newcomer", keep="y")
    assert "By objective" in browser.get("/progress").text
    browser.post("/sign-out", page="/account")
    assert "By objective" not in browser.get("/progress").text
    again = browser_of("newcomer")
    assert "By objective" in again.get("/progress").text


def test_an_old_copy_of_the_cookie_no_longer_leads_to_what_was_kept(browser_of: Browsers) -> None:
    browser, other = browser_of(), browser_of()
    hand_in(browser, practise(browser))
    copy = browser.client.get_cookie("trainer").value
    new_account(browser, "newcomer", keep="y")
    other.client.set_cookie("trainer", copy)
    assert "By objective" not in other.get("/progress").text


def test_practice_of_a_second_browser_can_be_added_and_both_count(browser_of: Browsers) -> None:
    first = browser_of()
    hand_in(first, practise(first))
    new_account(first, "newcomer", keep="y")
    second = browser_of()
    hand_in(second, practise(second))
    assert second.sign_in("newcomer").status_code == 303
    assert "This browser practised without an account" in second.get("/account").text
    second.post("/account/keep-practice", page="/account")
    assert second.get("/progress").text.count("/result/") == 2


def test_without_consent_nothing_comes_along(browser_of: Browsers) -> None:
    browser = browser_of()
    hand_in(browser, practise(browser))
    new_account(browser, "newcomer")
    assert "By objective" not in browser.get("/progress").text
    browser.post("/sign-out", page="/account")
    assert "By objective" in browser.get("/progress").text


def test_practice_without_an_account_goes_on_as_before(browser_of: Browsers) -> None:
    browser = browser_of()
    page = practise(browser)
    assert browser.get(page).status_code == 200
    assert "/sign-in" not in page
