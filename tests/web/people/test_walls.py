"""Role by route and organisation by id, for every route of the program."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

import pytest
from flask import Blueprint, Flask, url_for

from tests.web.people.conftest import Browser, House, person
from tests.web.people.matrix import EVERYBODY, LEARNER, MATRIX, OPERATOR, VISITOR
from tests.web.people.world import furnished, ids_of
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.words import Role
from trainer.web import guard
from trainer.web.access import WALLED, Access, Ask
from trainer.web.app import BLUEPRINTS

Browsers = Callable[..., Browser]


@pytest.fixture
def college(storage: SqlStorage) -> House:
    return furnished(storage, "college")


@pytest.fixture
def firm(storage: SqlStorage) -> House:
    return furnished(storage, "firm")


def routes(app: Flask) -> list[tuple[str, str, frozenset[str]]]:
    """Every (route, method, parts of its address) of people's pages and of those that ask something."""
    asking = {
        endpoint
        for endpoint, access in guard.table_of(app).items()
        if access.ask is not Ask.NOTHING or endpoint.startswith("people.")
    }
    return [
        (rule.endpoint, method, frozenset(rule.arguments))
        for rule in app.url_map.iter_rules()
        for method in sorted(rule.methods & {"GET", "POST", "PUT", "PATCH", "DELETE"})
        if rule.endpoint in asking
    ]


def address(app: Flask, endpoint: str, arguments: frozenset[str], house: House) -> str:
    ids = ids_of(house)
    with app.test_request_context():
        return url_for(endpoint, **{name: ids[name] for name in arguments})


def ask(browser: Browser, method: str, path: str):
    if method == "GET":
        return browser.get(path)
    # The page that gives the token asks for nothing, so that it can be reached by everybody.
    return browser.post(path, page="/join")


def test_every_route_stands_in_the_matrix_and_every_line_is_a_route(app: Flask) -> None:
    assert {endpoint for endpoint, _, _ in routes(app)} == set(MATRIX)


def test_every_part_of_an_address_that_can_name_something_is_looked_up(app: Flask, college: House) -> None:
    for _, _, arguments in routes(app):
        assert arguments <= set(ids_of(college))


@pytest.mark.parametrize("who", EVERYBODY)
def test_each_role_opens_exactly_the_pages_of_the_matrix(
    app: Flask, storage: SqlStorage, college: House, browser_of: Browsers, who: str
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.add(person("operator"))
    wrong, browser = [], None
    for endpoint, method, arguments in sorted(routes(app), key=lambda route: route[1]):
        # A new browser after each form: one of them may sign out, or end what the next one asks for.
        if browser is None or method != "GET":
            browser = browser_of() if who == VISITOR else browser_of(_name(who))
        if who == OPERATOR:
            _appoint(storage)
        answer = ask(browser, method, address(app, endpoint, arguments, college))
        if _let_in(answer, guard.table_of(app)[endpoint]) != (who in MATRIX[endpoint]):
            wrong.append(f"{method} {endpoint}: {answer.status_code} {answer.headers.get('Location', '')}")
        assert answer.status_code < 500, endpoint
        if method != "GET":
            browser = None
            _undo(storage)
    assert wrong == []


def _name(who: str) -> str:
    return "operator" if who == OPERATOR else f"college-{who}"


def _appoint(storage: SqlStorage) -> None:
    """An operator, with a second factor given: what operators must have."""

    from tests.web.conftest import NOON
    from trainer.services.people.records import SecondFactor

    with storage.scopes(people_repositories).writing() as stored:
        found = stored.people.get("operator")
        assert found is not None
        stored.people.change(found.id, is_operator=True)
        stored.second_factors.put(
            SecondFactor(person_id="operator", salt="s", created_at=NOON, confirmed_at=NOON, last_step=0)
        )
        for session in stored.sessions.of_person("operator"):
            stored.sessions.rotate(session.id, session.token_hash, second_factor_at=NOON)


def _let_in(answer, access: Access) -> bool:
    if answer.status_code == 403:
        return False
    to = answer.headers.get("Location", "")
    if access.ask is Ask.MEMBER and to == "/account":
        return False
    return not (answer.status_code == 303 and (to == "/sign-in" or to.startswith("/sign-in?")))


def _undo(storage: SqlStorage) -> None:
    """Takes back what a request may have changed, so that the next one finds everything in place."""
    from sqlalchemy import update

    from trainer.persistence.tables.accounts import PersonRow
    from trainer.persistence.tables.operation import RateCountRow
    from trainer.persistence.tables.organisations import MemberRow, OrganisationRow

    with storage.database.writing() as session:
        session.execute(update(MemberRow).values(state="active", ended_at=None))
        session.execute(update(OrganisationRow).values(suspended_at=None))
        session.execute(update(PersonRow).values(is_operator=False))
        session.query(RateCountRow).delete()


def test_no_form_is_taken_without_its_token(
    app: Flask, storage: SqlStorage, college: House, browser_of: Browsers
) -> None:
    """OWASP ASVS 5.0, 3.5.1: a request that another site makes for the browser is refused, on every route."""
    browser = browser_of("college-administrator")
    taken = []
    for rule in app.url_map.iter_rules():
        ids = {**dict.fromkeys(rule.arguments, "x"), **ids_of(college)}
        for method in sorted(rule.methods & {"POST", "PUT", "PATCH", "DELETE"}):
            with app.test_request_context():
                path = url_for(rule.endpoint, **{name: ids[name] for name in rule.arguments})
            answer = browser.client.open(path, method=method)
            if answer.status_code != 400 or "lost its session" not in answer.text:
                taken.append(f"{method} {rule.endpoint}: {answer.status_code}")
    assert taken == []


def test_nothing_of_another_organisation_is_reached_by_its_id(
    app: Flask, storage: SqlStorage, college: House, firm: House, browser_of: Browsers
) -> None:
    reached = []
    for endpoint, method, arguments in routes(app):
        access = guard.table_of(app)[endpoint]
        walled = arguments & set(WALLED)
        if access.ask is not Ask.MEMBER or not walled:
            continue
        for role in sorted(access.roles):
            browser = browser_of(firm.member(role))
            for name in sorted(walled):
                path = _mixed(app, endpoint, arguments, own=firm, other=college, foreign=name)
                answer = ask(browser, method, path)
                if answer.status_code != 404:
                    reached.append(f"{method} {endpoint} as {role}, foreign {name}: {answer.status_code}")
    assert reached == []


def _mixed(app: Flask, endpoint: str, arguments: frozenset[str], *, own: House, other: House, foreign: str) -> str:
    """The address with one foreign part and the rest one's own."""
    mine, theirs = ids_of(own), ids_of(other)
    with app.test_request_context():
        return url_for(endpoint, **{name: theirs[name] if name == foreign else mine[name] for name in arguments})


def test_no_page_of_one_organisation_shows_a_name_of_another(
    app: Flask, college: House, firm: House, browser_of: Browsers
) -> None:
    browser = browser_of("firm-administrator")
    shown = []
    for endpoint, method, arguments in routes(app):
        if method != "GET":
            continue
        # Files among them: what is not text is read as far as it goes.
        answer = browser.get(address(app, endpoint, arguments, firm), follow_redirects=True)
        text = answer.data.decode("utf-8", "replace")
        if "college" in text.lower().replace("college or firm", "").replace('value="college"', ""):
            shown.append(endpoint)
    # The operator's pages are refused to this browser, so nothing is left out here.
    assert shown == []


def test_whoever_is_a_member_of_both_sees_only_the_one_worked_in(
    storage: SqlStorage, college: House, firm: House, browser_of: Browsers
) -> None:
    from tests.web.people.conftest import member

    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("second", "firm", Role.ADMINISTRATOR, person_id="college-lecturer"))
    browser = browser_of("college-lecturer")
    assert browser.get("/organisation/settings").status_code == 403
    browser.post("/account/work-in", {"member": "second"}, page="/account")
    assert browser.get("/organisation/settings").status_code == 200
    assert browser.get("/organisation/groups/college-group").status_code == 404
    browser.post("/account/work-in", {"member": "college-administrator"}, page="/account")
    assert browser.get("/organisation/groups/college-group").status_code == 404


def test_a_member_who_left_and_one_of_a_closed_organisation_are_outside(
    storage: SqlStorage, college: House, browser_of: Browsers
) -> None:
    from dataclasses import replace

    from trainer.services.people.words import MemberState

    browser = browser_of("college-lecturer")
    with storage.scopes(people_repositories).writing() as stored:
        found = stored.members.get("college", "college-lecturer")
        stored.members.change(replace(found, state=MemberState.ENDED))
    assert browser.get("/organisation/groups").headers["Location"] == "/account"


def test_a_page_that_is_not_listed_stops_the_program_at_its_start(app: Flask) -> None:
    blueprint = Blueprint("stray", __name__)
    blueprint.add_url_rule("/stray", "page", lambda: "")
    app.register_blueprint(blueprint)
    packages = {name: import_module(name) for name in BLUEPRINTS}
    with pytest.raises(guard.UnlistedRouteError, match=r"stray\.page is in no table"):
        guard.access_of(app, packages)


def test_a_part_of_an_address_that_the_wall_does_not_know_stops_the_program(app: Flask) -> None:
    from types import SimpleNamespace

    from trainer.web.access import MEMBERS

    blueprint = Blueprint("stray", __name__)
    blueprint.add_url_rule("/stray/<thing_id>", "page", lambda **_: "")
    app.register_blueprint(blueprint)
    packages = {name: import_module(name) for name in BLUEPRINTS}
    packages["stray"] = SimpleNamespace(ACCESS={"stray.page": MEMBERS})
    with pytest.raises(guard.UnlistedRouteError, match="thing_id"):
        guard.access_of(app, packages)


def test_a_learner_is_refused_with_words_and_without_a_trace(college: House, browser_of: Browsers) -> None:
    answer = browser_of(f"college-{LEARNER}").get("/organisation/groups")
    assert (answer.status_code, "Not yours to see" in answer.text) == (403, True)
