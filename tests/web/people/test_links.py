"""Invitations and new passwords."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from tests.web.people.conftest import PASSWORD, Box, Browser, Clock, House, member, person, token_in
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.words import MemberState, Role

Browsers = Callable[..., Browser]
OTHER = "violet anchor teapot canyon"


@pytest.fixture
def invited(college: House, storage: SqlStorage) -> str:
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(
            member("invited", "college", Role.LEARNER, email="ann@example.org", state=MemberState.INVITED)
        )
        stored.people.add(person("withmail", email="with@example.org"))
    return "invited"


def invite(browser: Browser, member_id: str):
    return browser.post(
        f"/organisation/people/{member_id}/invite", page=f"/organisation/people/{member_id}", follow_redirects=True
    )


def accept(browser: Browser, link: str, **more: object):
    return browser.post(link, {"display_name": "Ann Lee", "password": PASSWORD, **more}, page=link)


def test_an_invitation_goes_by_mail_and_makes_an_account_under_that_address(
    invited: str, browser_of: Browsers, box: Box, storage: SqlStorage
) -> None:
    page = invite(browser_of("college-administrator"), invited)
    assert "ann@example.org" in page.text
    link = box.links()[0]
    assert link not in page.text
    browser = browser_of()
    assert accept(browser, link).headers["Location"] == "/account"
    assert "The college" in browser.get("/account").text
    assert browser_of().sign_in("Ann@Example.org").status_code == 303


def test_a_link_works_once_however_often_it_is_looked_at(invited: str, browser_of: Browsers, box: Box) -> None:
    invite(browser_of("college-administrator"), invited)
    link = box.links()[0]
    for _ in range(3):
        assert browser_of().get(link).status_code == 200
    assert accept(browser_of(), link).status_code == 303
    again = browser_of().get(link)
    assert (again.status_code, "was used already" in again.text) == (400, True)


def test_a_link_sent_several_times_at_once_makes_one_account(invited: str, browser_of: Browsers, app, box: Box) -> None:
    invite(browser_of("college-administrator"), invited)
    link = box.links()[0]
    browsers = [Browser(app.test_client()) for _ in range(4)]
    tokens = [token_in(browser.get(link).text) for browser in browsers]

    def send(pair) -> int:
        browser, token = pair
        data = {"csrf_token": token, "display_name": "Ann Lee", "password": PASSWORD}
        return browser.client.post(link, data=data).status_code

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(send, zip(browsers, tokens, strict=True))) == [303, 400, 400, 400]


def test_a_link_is_good_for_an_hour(invited: str, browser_of: Browsers, box: Box, clock: Clock) -> None:
    invite(browser_of("college-administrator"), invited)
    clock.pass_by(timedelta(minutes=59, seconds=59))
    assert browser_of().get(box.links()[0]).status_code == 200
    clock.pass_by(timedelta(seconds=1))
    assert browser_of().get(box.links()[0]).status_code == 400


def test_a_second_invitation_ends_the_first(invited: str, browser_of: Browsers, box: Box) -> None:
    administrator = browser_of("college-administrator")
    invite(administrator, invited)
    invite(administrator, invited)
    first, second = box.links()
    assert browser_of().get(first).status_code == 400
    assert browser_of().get(second).status_code == 200


def test_the_database_holds_no_token(invited: str, browser_of: Browsers, box: Box, storage: SqlStorage) -> None:
    from sqlalchemy import text

    invite(browser_of("college-administrator"), invited)
    token = box.links()[0].rpartition("/")[2]
    assert len(token) == 43
    with storage.database.reading() as session:
        rows = session.execute(text("SELECT * FROM single_use_token")).all()
        log = session.execute(text("SELECT * FROM audit_entry")).all()
    assert len(rows) == 1
    assert token not in str(rows)
    assert token not in str(log)


def test_an_account_that_is_there_takes_the_invitation_up(
    invited: str, browser_of: Browsers, box: Box, storage: SqlStorage
) -> None:
    invite(browser_of("college-administrator"), invited)
    browser = browser_of("withmail")
    link = box.links()[0]
    assert "The college" in browser.get(link).text
    assert browser.post(link, page=link).status_code == 303
    assert "The college" in browser.get("/account").text


def test_without_an_address_the_link_is_shown_once_to_be_handed_over(
    college: House, browser_of: Browsers, storage: SqlStorage, box: Box
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("nomail", "college", Role.LEARNER, state=MemberState.INVITED))
    page = invite(browser_of("college-administrator"), "nomail").text
    link = re.search(r"http://localhost(/invitation/\S+?)<", page)[1]
    assert box.sent == []
    assert accept(browser_of(), link, sign_in_name="ann.lee").status_code == 303
    assert browser_of().sign_in("ann.lee").status_code == 303


def test_a_whole_group_is_invited_at_once_by_mail_and_by_slips(
    college: House, browser_of: Browsers, storage: SqlStorage, box: Box
) -> None:
    administrator = browser_of("college-administrator")
    group = administrator.post("/organisation/groups", {"name": "G"}, page="/organisation/groups").headers["Location"]
    with storage.scopes(people_repositories).writing() as stored:
        for name, email in (("with", "ann@example.org"), ("without", None)):
            stored.members.add(member(name, "college", Role.LEARNER, email=email, state=MemberState.INVITED))
        stored.members.add(member("boss", "college", Role.ADMINISTRATOR, state=MemberState.INVITED))
    for who in ("ref-with", "ref-without", "ref-boss", "ref-college-learner"):
        administrator.post(f"{group}/members", {"who": who}, page=group)
    answer = administrator.post(f"{group}/invite", page=group)
    answer.close()
    page = answer.text
    # Staff are invited one by one; who has an account needs no invitation.
    assert [mail.to for mail in box.sent] == ["ann@example.org"]
    assert page.count("http://localhost/invitation/") == 1
    slip = re.search(r"http://localhost(/invitation/\S+?)<", page)[1]
    assert accept(browser_of(), slip, sign_in_name="newcomer").status_code == 303


def forgotten(browser: Browser, name: str):
    answer = browser.post("/forgotten", {"name": name}, page="/forgotten")
    answer.close()
    return answer


def test_a_forgotten_password_is_set_anew_by_a_link_and_ends_all_sessions(
    invited: str, browser_of: Browsers, box: Box
) -> None:
    signed_in = browser_of("withmail")
    assert forgotten(browser_of(), "withmail").status_code == 200
    link = box.links()[0]
    assert box.sent[0].to == "with@example.org"
    assert browser_of().post(link, {"password": OTHER}, page=link).headers["Location"] == "/sign-in"
    assert signed_in.get("/account").status_code == 303
    assert browser_of().sign_in("withmail").status_code == 400
    assert browser_of().sign_in("withmail", OTHER).status_code == 303
    assert browser_of().get(link).status_code == 400


def test_asking_for_an_unknown_account_gets_the_same_answer_and_no_mail(
    invited: str, browser_of: Browsers, box: Box
) -> None:
    known, unknown, without = (forgotten(browser_of(), name).text for name in ("withmail", "nobody", "college-learner"))
    assert known == unknown == without
    assert len(box.sent) == 1


def test_the_answer_is_out_before_anything_is_looked_up(invited: str, browser_of: Browsers, box: Box) -> None:
    browser = browser_of()
    answer = browser.post("/forgotten", {"name": "withmail"}, page="/forgotten", buffered=False)
    assert answer.status_code == 200
    assert box.sent == []
    answer.close()
    assert len(box.sent) == 1


def test_asking_is_limited_for_each_name(invited: str, browser_of: Browsers, box: Box) -> None:
    answers = [forgotten(browser_of(), "withmail").status_code for _ in range(4)]
    assert answers == [200, 200, 200, 429]
    assert len(box.sent) == 3


def test_an_address_of_the_site_stands_in_links_whatever_host_the_request_claims(
    settings, storage: SqlStorage, clock: Clock, box: Box, invited: str
) -> None:
    from trainer.web.app import create_app
    from trainer.web.wiring import Wiring

    app = create_app(settings, Wiring(storage=storage, now=clock, mail=box, address="https://trainer.example.org"))
    client, elsewhere = app.test_client(), "http://attacker.example"
    token = token_in(client.get("/forgotten", base_url=elsewhere).text)
    client.post("/forgotten", data={"csrf_token": token, "name": "withmail"}, base_url=elsewhere).close()
    assert "attacker" not in box.sent[0].text
    assert "https://trainer.example.org/new-password/" in box.sent[0].text


def test_a_learner_without_an_address_gets_a_link_by_hand(college: House, browser_of: Browsers) -> None:
    page = (
        browser_of("college-administrator")
        .post("/organisation/people/college-learner/reset", page="/organisation/people/college-learner")
        .text
    )
    link = re.search(r"http://localhost(/new-password/\S+?)<", page)[1]
    assert browser_of().post(link, {"password": OTHER}, page=link).status_code == 303
    assert browser_of().sign_in("college-learner", OTHER).status_code == 303


def test_no_link_by_hand_for_staff_or_for_somebody_who_belongs_elsewhere_too(
    college: House, firm: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("second", "firm", Role.LEARNER, person_id="college-learner"))
    administrator = browser_of("college-administrator")
    for name in ("college-lecturer", "college-learner"):
        answer = administrator.post(f"/organisation/people/{name}/reset", page="/account")
        assert (answer.status_code, "must ask for a new password" in answer.text) == (400, True)


def test_a_link_for_one_purpose_does_not_serve_another(invited: str, browser_of: Browsers, box: Box) -> None:
    invite(browser_of("college-administrator"), invited)
    token = box.links()[0].rpartition("/")[2]
    assert browser_of().get(f"/new-password/{token}").status_code == 400
