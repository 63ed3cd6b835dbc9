"""Nothing that a request claims about hosts leads anybody to another site.

Source: OWASP ASVS 5.0.0, 3.7.2, 4.1.3; RFC 9110, section 7.2 (Host).
"""

from __future__ import annotations

import re

import pytest
from flask import Flask

from tests.security.fuzz import HOST
from tests.security.world import World, seated

CLAIMS = [
    {"Host": HOST},
    {"X-Forwarded-Host": HOST},
    {"Forwarded": f"host={HOST}"},
    {"X-Forwarded-Server": HOST},
    {"X-Original-Host": HOST},
    {"X-Forwarded-Prefix": f"//{HOST}"},
]


@pytest.mark.parametrize("claim", CLAIMS, ids=lambda each: next(iter(each)))
def test_no_page_names_a_host_that_a_header_claims(app: Flask, world: World, claim: dict[str, str]) -> None:
    for who in ("visitor", "college-administrator", "college-learner"):
        # The jar of the test's browser goes by host, so the cookie is given by hand.
        client, cookie = app.test_client(use_cookies=False), f"trainer={world.seats[who].cookie}"
        for path in ("/", "/sign-in", "/account", "/organisation/groups", "/my-papers", "/practise", "/no-such-page"):
            answer = client.get(path, headers={**claim, "Cookie": cookie})
            # Pages that show an address to be copied take it from the setting; see the next test.
            assert f'href="http://{HOST}' not in answer.text, path
            assert HOST not in answer.headers.get("Location", ""), path


def test_addresses_to_be_handed_over_come_from_the_setting(world: World, tmp_path) -> None:
    from dataclasses import replace

    from tests.security.world import copied
    from trainer.web.wiring import EXTENSION

    app, database = copied(world, tmp_path)
    app.extensions[EXTENSION] = replace(app.extensions[EXTENSION], address="https://trainer.example.org")
    seat = world.seats["college-administrator"]
    client, claim = app.test_client(use_cookies=False), {"Host": HOST, "Cookie": f"trainer={seat.cookie}"}
    client.post("/organisation/groups/group/code", data={"csrf_token": seat.token}, headers=claim)
    shown = client.get("/organisation/groups/group/code", headers=claim).text
    assert "trainer.example.org/join" in shown
    assert HOST not in shown
    database.close()


AWAY = [
    f"http://{HOST}/", f"https:{HOST}", f"//{HOST}", f"///{HOST}", f"/\\{HOST}", f"\\/{HOST}", f"\t//{HOST}",
    f"/%09/{HOST}", f"/\t/{HOST}", f"/\n/{HOST}", "javascript:alert(1)", f"http:///{HOST}", f".{HOST}", f"@{HOST}",
    f"/account/../..//{HOST}", f"/{HOST}\r\nLocation: http://{HOST}",
]  # fmt: skip


@pytest.mark.parametrize("address", AWAY)
def test_no_field_of_a_form_leads_away(app: Flask, world: World, address: str) -> None:
    """Every form of every page that everybody may open, with the address in each of its fields."""
    seat = world.seats["visitor"]
    for path in ("/sign-in", "/account/new", "/join", "/forgotten", "/practise", "/try"):
        client = seated(app, seat)
        fields = re.findall(r'name="([\w-]+)"', client.get(path, query_string={"next": address}).text)
        data = {**dict.fromkeys([*fields, "next", "to", "return", "url"], address), "csrf_token": seat.token}
        for answer in (client.post(path, data=data), client.get(path, query_string={"next": address})):
            to = answer.headers.get("Location", "/")
            assert re.match(r"/(?![/\\\s])", to) or to == "/", (path, to)


def test_what_was_refused_stands_in_the_log_without_what_was_sent(
    app: Flask, world: World, caplog: pytest.LogCaptureFixture
) -> None:
    """ASVS 16.3.1, 16.3.2, 16.2.5: that it was tried, on which page, by which account; no name, no password."""
    seat = world.seats["visitor"]
    wrong = {"name": "college-learner", "password": "not-the-password", "csrf_token": seat.token}
    seated(app, seat).post("/sign-in", data=wrong)
    learner = world.seats["college-learner"]
    seated(app, learner).get("/organisation/people")
    lines = [record.getMessage() for record in caplog.records if record.name == "trainer.refused"]
    assert len(lines) == 2
    assert re.fullmatch(r"refused POST people\.sign_in 4\d\d to a visitor", lines[0])
    assert lines[1] == "refused GET organisation.people 403 to person college-learner"
    assert not [line for line in lines if "not-the-password" in line]
