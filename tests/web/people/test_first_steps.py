"""What each role reads after the first sign-in: what to do next, with a link; gone once it is done."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from lxml import html
from sqlalchemy import update

from tests.web.conftest import NOON
from tests.web.people.conftest import Browser, Clock, House, member, person
from tests.web.people.test_second_factor import set_up
from tests.web.people.world import furnished
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.organisations import StudyGroupRow
from trainer.persistence.tables.papers import PaperGroupRow, PaperRow
from trainer.services.people.records import Organisation
from trainer.services.people.words import MemberState, OrganisationKind, Role
from trainer.web.people.entry import start_page

Browsers = Callable[..., Browser]
HEADING = "What to do first"


@pytest.fixture
def alone(storage: SqlStorage) -> Callable[..., str]:
    """An organisation with nobody in it but one, who signs in with the name that this gives."""

    def made(*roles: Role, name: str = "empty") -> str:
        with storage.scopes(people_repositories).writing() as stored:
            stored.organisations.add(
                Organisation(
                    id=name, name=f"The {name}", kind=OrganisationKind.FIRM, release_needs_second_person=False,
                    staff_need_second_factor=False, created_at=person("x").created_at,
                )
            )  # fmt: skip
            stored.people.add(person(f"{name}-one"))
            stored.members.add(member(f"{name}-one", name, roles[0], person_id=f"{name}-one", roles=frozenset(roles)))
        return f"{name}-one"

    return made


def steps(browser: Browser) -> list[tuple[str, str]]:
    """Each step with where it leads, or that it is done; nothing where the section is not there."""
    answer = browser.get("/account")
    # On a page that could not be made nothing stands either.
    assert answer.status_code == 200
    page = html.fromstring(answer.text)
    found = page.xpath(f'//section[header/h2[normalize-space()="{HEADING}"]]//li')
    return [
        (each.text_content().split(":")[0].strip(), "done")
        if not each.xpath("./a")
        else (each.xpath("string(./a)"), each.xpath("string(./a/@href)"))
        for each in found
    ]


def test_a_lecturer_is_led_from_a_group_to_a_paper_and_then_left_alone(
    alone: Callable[..., str], browser_of: Browsers
) -> None:
    browser = browser_of(alone(Role.LECTURER))
    assert steps(browser) == [
        ("Make a group", "/organisation/groups"),
        ("Bring the learners in", "/organisation/groups"),
        ("Set a paper", "/papers/new"),
    ]
    group = browser.post("/organisation/groups", {"name": "Year one"}, page="/organisation/groups").headers["Location"]
    assert steps(browser)[:2] == [("Make a group", "done"), ("Bring the learners in", group)]
    code = browser.post(f"{group}/code", page=group, follow_redirects=True).text
    learner = browser_of(None)
    new = {
        "code": re.search(r'shown-code">([^<]+)<', code)[1],
        "sign_in_name": "somebody",
        "display_name": "Some Body",
        "password": "anvil drizzle orbit thimble",
    }
    assert learner.post("/account/new", new, page="/account/new").status_code == 303
    assert steps(browser)[1:] == [("Bring the learners in", "done"), ("Set a paper", "/papers/new")]
    paper = {"title": "First paper", "mode": "graded", "attempts_allowed": "1", "release_policy": "by_hand"}
    made = browser.post("/papers/new", paper, page="/papers/new")
    assert made.status_code == 303, made.text
    assert steps(browser) == []
    assert steps(learner) == []


def test_a_training_manager_is_led_to_people_and_to_a_programme(
    alone: Callable[..., str], browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of(alone(Role.TRAINING_MANAGER))
    assert steps(browser) == [("Enter the people", "/organisation/roster"), ("Make a programme", "/programmes")]
    assert all(browser.get(address).status_code == 200 for _, address in steps(browser))
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("somebody", "empty", Role.LEARNER, state=MemberState.INVITED))
    assert steps(browser) == [("Enter the people", "done"), ("Make a programme", "/programmes")]


def test_an_administrator_is_led_to_the_second_factor_and_to_staff_and_then_left_alone(
    alone: Callable[..., str], browser_of: Browsers, storage: SqlStorage, clock: Clock
) -> None:
    browser = browser_of(alone(Role.ADMINISTRATOR))
    assert steps(browser) == [
        ("Set up your second factor", "/account/second-factor"),
        ("Invite those who teach or manage", "/organisation/people/new?for=staff"),
    ]
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("somebody", "empty", Role.LECTURER, state=MemberState.INVITED))
    assert steps(browser)[1] == ("Invite those who teach or manage", "done")
    set_up(browser, clock)
    assert steps(browser) == []


def test_what_others_did_in_another_organisation_counts_for_nobody_here(
    alone: Callable[..., str], browser_of: Browsers, storage: SqlStorage
) -> None:
    furnished(storage, "college")
    everything = browser_of(alone(Role.LECTURER, Role.TRAINING_MANAGER, Role.ADMINISTRATOR))
    assert [what for what, where in steps(everything) if where == "done"] == []
    assert len(steps(everything)) == 7


def test_a_paper_that_somebody_else_set_for_the_group_counts_and_an_archived_group_does_not(
    browser_of: Browsers, storage: SqlStorage
) -> None:
    furnished(storage, "college")
    with storage.database.writing() as session:
        session.execute(update(PaperRow).values(made_by="college-administrator"))
        session.execute(update(StudyGroupRow).values(archived_at=NOON))
    browser = browser_of("college-lecturer")
    assert [what for what, where in steps(browser) if where != "done"] == ["Make a group", "Set a paper"]
    with storage.database.writing() as session:
        session.add(PaperGroupRow(paper_id="college-paper", group_id="college-group", organisation_id="college"))
    assert [what for what, where in steps(browser) if where != "done"] == ["Make a group"]


def test_a_learner_and_who_belongs_nowhere_read_no_such_thing(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.add(person("nowhere"))
    assert steps(browser_of("college-learner")) == []
    assert steps(browser_of("nowhere")) == []


def test_the_page_with_the_steps_is_where_a_sign_in_leads(college: House, app, browser_of: Browsers) -> None:
    with app.test_request_context():
        assert start_page() == "/account"
    page = browser_of("college-lecturer").get("/account").text
    # Before everything else on it but the name.
    assert page.index(HEADING) < page.index("You sign in with")
