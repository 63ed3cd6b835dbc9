"""A roster in the browser: sent, seen, taken over as a whole."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.web.people.conftest import Browser, House, member, token_in
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.words import MemberState, Role

Browsers = Callable[..., Browser]
HEAD = "name,email,reference,group,site,works as\n"


def send(browser: Browser, text: str | bytes, encoding: str = "utf-8"):
    """Sends the file as a browser does (RFC 7578), put together here so that no temporary file is left open."""
    content = text.encode() if isinstance(text, str) else text
    token = token_in(browser.get("/organisation/roster").text)
    mark = b"--a-mark-of-our-own"
    disposition = b'\r\nContent-Disposition: form-data; name="'
    fields = {"csrf_token": token, "encoding": encoding}
    body = b"".join(mark + disposition + k.encode() + b'"\r\n\r\n' + v.encode() + b"\r\n" for k, v in fields.items())
    head = b'file"; filename="people.csv"\r\nContent-Type: text/csv\r\n\r\n'
    body += mark + disposition + head + content + b"\r\n" + mark + b"--\r\n"
    kind = "multipart/form-data; boundary=" + mark[2:].decode()
    return browser.client.post("/organisation/roster", data=body, content_type=kind)


def preview(browser: Browser, text: str) -> tuple[str, str]:
    """The address and the text of the preview."""
    address = send(browser, text).headers["Location"]
    return address, browser.get(address).text


def take(browser: Browser, address: str, **more: object):
    page = browser.get(address).text
    found = re.search(r'name="fingerprint"[^>]*value="([0-9a-f]{64})"', page)
    return browser.post(address, {"fingerprint": found[1] if found else "", **more}, page=address)


def members(storage: SqlStorage, organisation: str = "college"):
    with storage.scopes(people_repositories).reading() as stored:
        return {each.reference: each for each in stored.members.all_in(organisation)}


def groups(storage: SqlStorage) -> dict[str, int]:
    with storage.scopes(people_repositories).reading() as stored:
        return {each.group.name: each.learners for each in stored.groups.all("college")}


@pytest.fixture
def administrator(college: House, browser_of: Browsers) -> Browser:
    return browser_of("college-administrator")


def test_a_roster_changes_nothing_before_it_was_seen(administrator: Browser, storage: SqlStorage) -> None:
    before = members(storage)
    address, page = preview(administrator, HEAD + "Ann Lee,ann@example.org,17,Evening,North,Installer\n")
    assert members(storage) == before
    assert groups(storage) == {}
    for word in ("Ann Lee", "Evening", "North", "Installer"):
        assert word in page
    assert take(administrator, address).status_code == 303
    ann = members(storage)["17"]
    assert (ann.display_name, ann.email, ann.state, ann.roles) == (
        "Ann Lee", "ann@example.org", MemberState.INVITED, frozenset({Role.LEARNER}),
    )  # fmt: skip
    assert groups(storage) == {"Evening": 1}


@pytest.mark.parametrize(("group", "place"), [("Evening", "groups"), ("", "people")])
def test_whoever_took_a_roster_over_lands_where_its_people_are_seen(
    administrator: Browser, group: str, place: str
) -> None:
    address, _ = preview(administrator, HEAD + f"Ann Lee,ann@example.org,17,{group},North,Installer\n")
    assert take(administrator, address).headers["Location"] == f"/organisation/{place}"


def test_the_same_roster_again_changes_nothing(administrator: Browser, storage: SqlStorage) -> None:
    text = HEAD + "Ann Lee,ann@example.org,17,Evening,North,Installer\nBo Ray,,18,Evening,,\n"
    address, _ = preview(administrator, text)
    take(administrator, address)
    before = members(storage)
    address, page = preview(administrator, text)
    assert "lines that change something" not in page
    take(administrator, address)
    assert members(storage) == before
    assert groups(storage) == {"Evening": 2}


def test_a_correction_is_shown_as_before_and_after(administrator: Browser, storage: SqlStorage) -> None:
    address, page = preview(administrator, HEAD + "Ann Other,,ref-college-learner,,,\n")
    assert "<del>College-Learner</del> <ins>Ann Other</ins>" in page
    take(administrator, address)
    assert members(storage)["ref-college-learner"].display_name == "Ann Other"


def test_an_empty_cell_changes_nothing(administrator: Browser, storage: SqlStorage) -> None:
    address, _ = preview(administrator, "name,reference,email\nAnn Lee,17,ann@example.org\n")
    take(administrator, address)
    address, _ = preview(administrator, "name,reference,email\nAnn Lee,17,\n")
    take(administrator, address)
    assert members(storage)["17"].email == "ann@example.org"


def test_with_a_bad_line_all_are_shown_and_nothing_is_taken(administrator: Browser, storage: SqlStorage) -> None:
    before = members(storage)
    address, page = preview(administrator, HEAD + "Ann,,17,,,\n=cmd(),,18,,,\nBo,nowhere,19,,,\n")
    assert "begins like a formula" in page
    assert "is not a mail address" in page
    assert "Bring it in" not in page
    answer = administrator.post(address, {"fingerprint": "0" * 64}, page=address)
    assert (answer.status_code, "nothing was changed" in answer.text) == (400, True)
    assert members(storage) == before


def test_whoever_looked_at_an_older_state_looks_again(administrator: Browser, storage: SqlStorage) -> None:
    address, page = preview(administrator, HEAD + "Ann Lee,,17,,,\n")
    seen = re.search(r'name="fingerprint"[^>]*value="([0-9a-f]{64})"', page)[1]
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("other", "college", Role.LEARNER, reference="17", state=MemberState.INVITED))
    answer = administrator.post(address, {"fingerprint": seen}, page=address)
    assert (answer.status_code, "something changed since you looked" in answer.text) == (400, True)


def test_a_reference_and_an_address_of_two_members_are_told(administrator: Browser, storage: SqlStorage) -> None:
    take(administrator, preview(administrator, HEAD + "Ann,ann@example.org,17,,,\nBo,bo@example.org,18,,,\n")[0])
    _, page = preview(administrator, HEAD + "Ann,bo@example.org,17,,,\n")
    assert "one member&#39;s, the address another&#39;s" in page


def test_somebody_who_left_is_taken_back(administrator: Browser, storage: SqlStorage) -> None:
    administrator.post("/organisation/people/college-learner/end", page="/organisation/people/college-learner")
    address, page = preview(administrator, HEAD + "College-Learner,,ref-college-learner,,,\n")
    assert "taken back" in page
    take(administrator, address)
    assert members(storage)["ref-college-learner"].state is MemberState.ACTIVE


def test_a_lecturer_adds_to_own_groups_and_changes_nobody(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    take(
        browser_of("college-administrator"), preview(browser_of("college-administrator"), HEAD + "X,,1,Theirs,,\n")[0]
    ) if False else None
    administrator, lecturer = browser_of("college-administrator"), browser_of("college-lecturer")
    take(administrator, preview(administrator, HEAD + "Xan,,1,Theirs,,\n")[0])
    _, page = preview(lecturer, HEAD + "Ann,,2,Theirs,,\n")
    assert "is not one of yours" in page
    address, page = preview(lecturer, HEAD + "Somebody Else,,ref-college-learner,Mine,,\n")
    assert "<ins>" not in page
    take(lecturer, address)
    assert members(storage)["ref-college-learner"].display_name == "College-Learner"
    assert groups(storage)["Mine"] == 1


def test_a_draft_is_seen_by_its_sender_only(administrator: Browser, browser_of: Browsers) -> None:
    address, _ = preview(administrator, HEAD + "Ann,,17,,,\n")
    answer = browser_of("college-lecturer").get(address)
    assert (answer.status_code, "Ann" in answer.text) == (400, False)


def test_a_draft_is_gone_when_it_was_taken_over_or_thrown_away(administrator: Browser, storage: SqlStorage) -> None:
    from sqlalchemy import text

    address, _ = preview(administrator, HEAD + "Ann,,17,,,\n")
    administrator.post(f"{address}/drop", page=address)
    assert administrator.get(address).status_code == 404
    take(administrator, preview(administrator, HEAD + "Ann,,17,,,\n")[0])
    with storage.database.reading() as session:
        assert session.execute(text("SELECT count(*) FROM job")).scalar_one() == 0


@pytest.mark.parametrize(
    ("content", "because"),
    [(b"", "is empty"), (b"PK\x03\x04", "is no text"), ("name\nSiân\n".encode("cp1252"), "choose Windows-1252")],
)
def test_a_file_that_cannot_be_used_is_told_on_the_page(administrator: Browser, content: bytes, because: str) -> None:
    answer = send(administrator, content)
    assert (answer.status_code, because in answer.text) == (400, True)


def test_a_file_of_a_hundred_megabytes_is_refused_before_it_is_read(administrator: Browser) -> None:
    answer = send(administrator, b"name\n" + b"a" * (100 * 1024 * 1024))
    assert answer.status_code == 413


def test_ten_thousand_people_are_taken_over(administrator: Browser, storage: SqlStorage) -> None:
    lines = "".join(f"Person {n},p{n}@example.org,r{n},Group {n % 300},,\n" for n in range(10_000))
    address, page = preview(administrator, HEAD + lines)
    assert "200 of 10000 lines" in page
    assert take(administrator, address).status_code == 303
    assert len(members(storage)) == 10_004
    assert sum(groups(storage).values()) == 10_000
    listed = administrator.get("/organisation/people?search=person 9999").text
    assert "Person 9999" in listed
