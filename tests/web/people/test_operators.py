"""Operators of the site."""

from __future__ import annotations

import re
from collections.abc import Callable

import pyotp
import pytest

from tests.web.people.conftest import CHEAP, NOON, PASSWORD, Box, Browser, Clock, House, person
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.organisations import PAGE
from trainer.services.people.records import Organisation
from trainer.services.people.words import OrganisationKind

Browsers = Callable[..., Browser]


@pytest.fixture
def operator(storage: SqlStorage, browser_of: Browsers, clock: Clock) -> Browser:
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.add(person("operator", is_operator=True, password_hash=CHEAP.hash(PASSWORD)))
    browser = browser_of("operator")
    assert browser.get("/operator/organisations").headers["Location"] == "/account/second-factor"
    page = browser.get("/account/second-factor").text
    secret = re.search(r'<figcaption class="number breaks">([A-Z2-7 ]+)</figcaption>', page)[1].replace(" ", "")
    code = pyotp.TOTP(secret).at(clock.now)
    browser.post("/account/second-factor", {"code": code}, page="/account/second-factor")
    return browser


def make(browser: Browser, **more: object):
    data = {"name": "Northern College", "kind": "college", "administrator": "Ann Lee", "email": ""}
    return browser.post("/operator/organisations", {**data, **more}, page="/operator/organisations")


def test_an_organisation_is_made_and_its_administrator_comes_in_by_a_link(
    operator: Browser, browser_of: Browsers
) -> None:
    page = make(operator).text
    link = re.search(r"http://localhost(/invitation/\S+?)<", page)[1]
    browser = browser_of()
    data = {"display_name": "Ann Lee", "sign_in_name": "ann.lee", "password": PASSWORD}
    assert browser.post(link, data, page=link).status_code == 303
    assert browser.get("/organisation/settings").status_code == 200


def test_with_an_address_the_invitation_goes_by_mail(operator: Browser, box: Box) -> None:
    assert make(operator, email="ann@example.org", second_factor="y").status_code == 303
    assert (box.sent[0].to, "Northern College" in box.sent[0].text) == ("ann@example.org", True)


def test_a_name_that_is_taken_makes_nothing(operator: Browser, storage: SqlStorage) -> None:
    make(operator)
    answer = make(operator)
    assert (answer.status_code, "is there already" in answer.text) == (400, True)
    with storage.scopes(people_repositories).reading() as stored:
        assert len(stored.organisations.by_name("", limit=9)) == 1


def test_a_closed_organisation_lets_nobody_in_until_it_is_opened(
    operator: Browser, college: House, browser_of: Browsers
) -> None:
    lecturer = browser_of("college-lecturer")
    path = "/operator/organisations/college/suspend"
    operator.post(path, {"suspended": "yes"}, page="/operator/organisations")
    assert lecturer.get("/organisation/groups").headers["Location"] == "/account"
    operator.post(path, {"suspended": "no"}, page="/operator/organisations")
    assert lecturer.get("/organisation/groups").status_code == 200


def test_an_operator_is_no_member_anywhere(operator: Browser, college: House) -> None:
    assert operator.get("/organisation/groups").headers["Location"] == "/account"
    assert "College-Learner" not in operator.get("/operator/organisations").text


def test_many_organisations_come_in_pages_by_name(operator: Browser, storage: SqlStorage) -> None:
    names = [f"Firm {number:03}" for number in range(2 * PAGE + 1)]
    with storage.scopes(people_repositories).writing() as stored:
        for name in reversed(names):
            stored.organisations.add(
                Organisation(
                    id=name.replace(" ", "-"),
                    name=name,
                    kind=OrganisationKind.FIRM,
                    release_needs_second_person=False,
                    staff_need_second_factor=False,
                    created_at=NOON,
                )
            )
    seen: list[str] = []
    address = "/operator/organisations"
    for _ in range(3):
        page = operator.get(address).text
        seen += re.findall(r'<th scope="row">(Firm \d+)<', page)
        following = re.search(r'href="(/operator/organisations\?after=[^"]+)"', page)
        if following is None:
            break
        address = following[1]
    assert (seen, following) == (names, None)
