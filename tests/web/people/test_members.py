"""People and groups of an organisation on its pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.web.people.conftest import Browser, House, member
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import verified
from trainer.services.people.words import GroupPart, MemberState, Role

Browsers = Callable[..., Browser]


def change(browser: Browser, name: str, *roles: str, **more: object):
    path = f"/organisation/people/{name}"
    return browser.post(path, {"display_name": "Changed", "roles": list(roles), **more}, page=path)


def roles_of(storage: SqlStorage, name: str) -> frozenset[Role]:
    with storage.scopes(people_repositories).reading() as stored:
        found = stored.members.find(name)
    assert found is not None
    return found.roles


def test_somebody_is_added_found_and_changed(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    browser = browser_of("college-administrator")
    data = {"display_name": "Ann Lee", "reference": "17", "roles": ["learner", "lecturer"]}
    answer = browser.post("/organisation/people/new", data, page="/organisation/people/new")
    path = answer.headers["Location"]
    assert "Ann Lee" in browser.get("/organisation/people?search=ann").text
    assert "Ann Lee" not in browser.get("/organisation/people?search=bo").text
    assert roles_of(storage, path.rpartition("/")[2]) == {Role.LEARNER, Role.LECTURER}


def test_a_second_person_of_one_name_is_added_with_a_word_of_it(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-administrator")
    told = []
    for name in ("Ann Lee", "Ann Leeson", "Ann Lee"):
        answer = browser.post(
            "/organisation/people/new", {"display_name": name, "roles": ["learner"]}, page="/organisation/people/new"
        )
        told.append("Somebody else is called Ann Lee too" in browser.get(answer.headers["Location"]).text)
    assert told == [False, False, True]


def test_whoever_comes_to_invite_staff_ticks_what_they_are(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-administrator")
    ticked = r'<input(?=[^>]*value="learner")(?=[^>]* checked)[^>]*>'
    assert re.search(ticked, browser.get("/organisation/people/new").text)
    assert not re.search(ticked, browser.get("/organisation/people/new?for=staff").text)


def test_people_stand_with_what_they_work_as_and_where(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of("college-administrator")
    assert "Works as, site" not in browser.get("/organisation/people").text
    for kind, name in (("site", "Old yard"), ("trade_role", "Installer")):
        browser.post("/organisation/settings/places", {"kind": kind, "name": name}, page="/organisation/settings")
    page = browser.get("/organisation/people/new").text
    given = {
        field: re.search(rf'value="([^"]+)">{name}<', page)[1]
        for field, name in (("site_id", "Old yard"), ("trade_role_id", "Installer"))
    }
    browser.post(
        "/organisation/people/new",
        {"display_name": "Ann Lee", "roles": ["learner"], **given},
        page="/organisation/people/new",
    )
    assert "<td>Installer, Old yard</td>" in browser.get("/organisation/people?search=ann").text


def test_a_search_takes_signs_of_the_database_as_they_are(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-administrator")
    for text in ("%25", "__", "%27;--", "%5C"):
        assert "Nobody is found" in browser.get(f"/organisation/people?search={text}").text


@pytest.mark.parametrize(
    "path", ["/organisation/people?search=a%00b", "/organisation/groups/a%00b", "/sign-in?next=%00"]
)
def test_a_sign_that_no_text_holds_is_refused_everywhere(college: House, browser_of: Browsers, path: str) -> None:
    """PostgreSQL documentation, 8.3: the character with code zero cannot be stored in text."""
    assert browser_of("college-administrator").get(path).status_code in {400, 404}


def test_people_are_paged_by_name_without_losing_anybody(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    names = [f"Person {n:03}" for n in range(120)]
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add_many(
            [
                member(f"m{n}", "college", Role.LEARNER, display_name=name, state=MemberState.INVITED)
                for n, name in enumerate(names)
            ]
        )
    browser, seen = browser_of("college-administrator"), []
    path: str | None = "/organisation/people?search=person"
    while path:
        page = browser.get(path).text
        seen += re.findall(r">(Person \d{3})<", page)
        found = re.search(r'href="([^"]+)">Next page', page)
        path = found[1].replace("&amp;", "&") if found else None
    assert seen == names


def test_a_reference_that_another_has_is_told(college: House, browser_of: Browsers) -> None:
    answer = change(browser_of("college-administrator"), "college-learner", "learner", reference="ref-college-lecturer")
    assert (answer.status_code, "another member has" in answer.text) == (400, True)


def test_the_last_administrator_stays(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    browser = browser_of("college-administrator")
    answer = change(browser, "college-administrator", "learner")
    assert (answer.status_code, "last administrator must stay" in answer.text) == (400, True)
    ended = browser.post("/organisation/people/college-administrator/end", page="/account")
    assert ended.status_code == 400
    assert roles_of(storage, "college-administrator") == {Role.ADMINISTRATOR}


def test_two_administrators_who_demote_each_other_at_once_leave_one(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    change(browser_of("college-administrator"), "college-lecturer", "administrator")
    pairs = [("college-administrator", "college-lecturer"), ("college-lecturer", "college-administrator")]
    browsers = [(browser_of(who), whom) for who, whom in pairs]
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(lambda pair: change(pair[0], pair[1], "learner"), browsers))
    with storage.scopes(people_repositories).reading() as stored:
        assert len(stored.members.with_role("college", Role.ADMINISTRATOR)) == 1


def test_whoever_gets_other_roles_signs_in_anew(college: House, browser_of: Browsers) -> None:
    learner = browser_of("college-learner")
    change(browser_of("college-administrator"), "college-learner", "learner", "lecturer")
    assert learner.get("/account").status_code == 303


def test_an_administrator_signs_somebody_out_everywhere(
    college: House, firm: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    """OWASP ASVS 5.0.0, 7.4.5: administrators can end the sessions of one person."""
    phone, tablet = browser_of("college-learner"), browser_of("college-learner")
    other = browser_of("firm-learner")
    administrator = browser_of("college-administrator")
    path = "/organisation/people/college-learner"
    assert "Sign out everywhere" in administrator.get(path).text
    assert administrator.post(f"{path}/sign-out", page=path).status_code == 303
    assert {each.get("/account").status_code for each in (phone, tablet)} == {303}
    assert other.get("/account").status_code == 200
    assert browser_of("college-learner").get("/account").status_code == 200


def test_a_training_manager_signs_no_staff_out(college: House, browser_of: Browsers) -> None:
    administrator, manager = browser_of("college-administrator"), browser_of("college-training_manager")
    path = "/organisation/people/college-administrator/sign-out"
    assert manager.post(path, page="/organisation/people/new").status_code == 400
    assert administrator.get("/account").status_code == 200


def test_a_training_manager_gives_no_roles_and_changes_no_staff(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    manager = browser_of("college-training_manager")
    assert change(manager, "college-learner", "administrator").status_code == 400
    path = "/organisation/people/college-administrator"
    answer = manager.post(path, {"display_name": "X", "roles": ["learner"]}, page="/organisation/people/new")
    assert answer.status_code == 400
    assert manager.post(f"{path}/end", page="/organisation/people/new").status_code == 400
    assert change(manager, "college-learner", "learner").status_code == 303
    assert roles_of(storage, "college-administrator") == {Role.ADMINISTRATOR}
    assert roles_of(storage, "college-learner") == {Role.LEARNER}


def test_a_site_of_another_organisation_cannot_be_chosen(
    college: House, firm: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    firm_browser = browser_of("firm-administrator")
    firm_browser.post("/organisation/settings/places", {"kind": "site", "name": "Depot"}, page="/organisation/settings")
    with storage.scopes(people_repositories).reading() as stored:
        site = stored.organisations.sites("firm")[0].id
    answer = change(browser_of("college-administrator"), "college-learner", "learner", site_id=site)
    assert (answer.status_code, "is not in this organisation" in answer.text) == (400, True)


def make_group(browser: Browser, name: str = "Evening") -> str:
    return browser.post("/organisation/groups", {"name": name}, page="/organisation/groups").headers["Location"]


def test_a_lecturer_sees_and_changes_own_groups_only(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        from tests.web.people.conftest import person

        stored.people.add(person("colleague"))
        stored.members.add(member("colleague", "college", Role.LECTURER, person_id="colleague"))
    group = make_group(browser_of("college-lecturer"))
    other = browser_of("colleague")
    assert "Evening" not in other.get("/organisation/groups").text
    assert other.get(group).status_code == 400
    for path, data in (
        ("name", {"name": "Mine"}),
        ("archive", {"archived": "yes"}),
        ("code", {}),
        ("code/end", {}),
        ("members", {"who": "colleague"}),
    ):
        assert other.post(f"{group}/{path}", data, page="/organisation/groups").status_code == 400
    assert "Evening" in browser_of("college-administrator").get("/organisation/groups").text


def test_somebody_is_put_in_by_reference_address_or_name_and_taken_out(college: House, browser_of: Browsers) -> None:
    lecturer = browser_of("college-lecturer")
    group = make_group(lecturer)
    for who in ("ref-college-learner", "college-learner"):
        assert lecturer.post(f"{group}/members", {"who": who}, page=group).status_code == 303
    assert "College-Learner" in lecturer.get(group).text
    assert lecturer.post(f"{group}/members", {"who": "nobody"}, page=group).status_code == 400
    lecturer.post(f"{group}/members/college-learner/out", page=group)
    assert "College-Learner" not in lecturer.get(group).text


def test_a_learner_is_not_put_in_charge_of_a_group(college: House, browser_of: Browsers) -> None:
    lecturer = browser_of("college-lecturer")
    group = make_group(lecturer)
    answer = lecturer.post(
        f"{group}/members", {"who": "ref-college-learner", "part": GroupPart.TEACHES.value}, page=group
    )
    assert answer.status_code == 400


def test_two_groups_of_one_name_cannot_be_made(college: House, browser_of: Browsers) -> None:
    lecturer = browser_of("college-lecturer")
    make_group(lecturer)
    answer = lecturer.post("/organisation/groups", {"name": "Evening"}, page="/organisation/groups")
    assert (answer.status_code, "another group has this name" in answer.text) == (400, True)


def test_a_group_that_is_put_away_takes_nobody_in(college: House, browser_of: Browsers) -> None:
    lecturer = browser_of("college-lecturer")
    group = make_group(lecturer)
    page = lecturer.post(f"{group}/code", page=group, follow_redirects=True).text
    code = re.search(r'shown-code">([^<]+)<', page)[1]
    lecturer.post(f"{group}/archive", {"archived": "yes"}, page=group)
    assert browser_of("college-learner").post("/join", {"code": code}, page="/join").status_code == 400


def test_the_log_tells_who_did_what_and_is_whole(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    administrator = browser_of("college-administrator")
    change(administrator, "college-learner", "learner", "lecturer")
    page = administrator.get("/organisation/log").text
    assert "member: roles changed" in page
    assert "College-Administrator" in page
    with storage.scopes(SqlAuditLog).reading() as log:
        entries = list(log.all())
    assert verified(entries).problem == ""
    changed = next(each for each in entries if each.action == "member.roles_changed")
    assert changed.details_json == '{"after":"learner lecturer","before":"learner"}'


def test_settings_of_the_organisation_are_changed_by_its_administrator(
    college: House, firm: House, browser_of: Browsers
) -> None:
    browser = browser_of("college-administrator")
    taken = browser.post("/organisation/settings", {"name": "The firm"}, page="/organisation/settings")
    assert (taken.status_code, "is there already" in taken.text) == (400, True)
    data = {"name": "The new college", "release_needs_second_person": "y"}
    assert browser.post("/organisation/settings", data, page="/organisation/settings").status_code == 303
    assert "The new college" in browser.get("/account").text


@pytest.mark.parametrize("text", ["\x00", "a\u202eb", "x" * 81, ""])
def test_a_name_that_cannot_be_shown_makes_no_group(college: House, browser_of: Browsers, text: str) -> None:
    answer = browser_of("college-lecturer").post("/organisation/groups", {"name": text}, page="/organisation/groups")
    assert answer.status_code == 400


def test_the_log_holds_no_name_address_password_or_code(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    from tests.web.people.conftest import PASSWORD

    administrator = browser_of("college-administrator")
    data = {"display_name": "Canary Lee", "email": "canary@example.org", "reference": "canary-17", "roles": ["learner"]}
    path = administrator.post("/organisation/people/new", data, page="/organisation/people/new").headers["Location"]
    administrator.post(f"{path}/invite", page=path)
    group = make_group(administrator, "Canary group")
    page = administrator.post(f"{group}/code", page=group, follow_redirects=True).text
    code = re.search(r'shown-code">([^<]+)<', page)[1]
    browser_of("college-learner").post("/join", {"code": code}, page="/join")
    with storage.scopes(SqlAuditLog).reading() as log:
        kept = str(list(log.all())).casefold()
    assert "group.joined" in kept
    for secret in ("canary", PASSWORD, code, code.replace("-", "")):
        assert secret.casefold() not in kept
