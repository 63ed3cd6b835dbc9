"""What somebody tried and was refused stands in the log, whatever page tells of it.

Source: OWASP ASVS 5.0.0, 16.3.1 to 16.3.3.
"""

from __future__ import annotations

import pytest
from flask import Flask

from tests.security.world import World, seated

LOG = "trainer.refused"


def lines(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [record.getMessage() for record in caplog.records if record.name == LOG]


@pytest.mark.parametrize(
    ("path", "endpoint"),
    [
        ("/papers/{paper_id}", "papers.show"),
        ("/organisation/groups/{group_id}", "organisation.group"),
        ("/organisation/people/{member_id}", "organisation.member"),
        ("/programmes/{programme_id}", "programmes.show"),
        ("/records/{record_id}", "records.show"),
    ],
)
def test_reaching_for_another_organisation_is_logged_though_it_looks_as_if_nothing_were_there(
    app: Flask, world: World, caplog: pytest.LogCaptureFixture, path: str, endpoint: str
) -> None:
    answer = seated(app, world.seats["college-administrator"]).get(path.format(**world.others))
    assert answer.status_code == 404
    assert lines(caplog) == [f"refused GET {endpoint} 404 to person college-administrator"]


def test_reaching_for_what_belongs_to_a_colleague_is_logged(
    app: Flask, world: World, caplog: pytest.LogCaptureFixture
) -> None:
    """A learner at a record of the same college, whose use case refuses it with words."""
    client = seated(app, world.seats["college-lecturer"])
    assert client.get(f"/records/{world.ids['record_id']}").status_code == 400
    assert lines(caplog) == ["refused GET records.show 400 to person college-lecturer"]


def test_a_form_without_the_token_of_its_session_is_logged(
    app: Flask, world: World, caplog: pytest.LogCaptureFixture
) -> None:
    client = seated(app, world.seats["college-administrator"])
    assert client.post("/organisation/groups", data={"name": "x", "csrf_token": "forged"}).status_code == 400
    assert lines(caplog) == ["refused POST organisation.groups 400 to person college-administrator"]


def test_an_address_that_is_simply_not_there_and_a_form_with_a_mistake_are_no_attack(
    app: Flask, world: World, caplog: pytest.LogCaptureFixture
) -> None:
    seat = world.seats["college-administrator"]
    client = seated(app, seat)
    assert client.get("/no-such-page").status_code == 404
    assert client.get("/rules/XYZ-99").status_code == 404
    assert client.post("/organisation/groups", data={"name": "", "csrf_token": seat.token}).status_code == 400
    assert lines(caplog) == []


def test_what_was_sent_stands_in_no_line(app: Flask, world: World, caplog: pytest.LogCaptureFixture) -> None:
    client = seated(app, world.seats["college-administrator"])
    client.get("/papers/planted%0Aline")
    client.get("/records/planted")
    assert lines(caplog)
    assert "planted" not in "".join(lines(caplog))
