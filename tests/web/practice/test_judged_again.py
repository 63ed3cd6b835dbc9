"""A learner sees that an attempt was judged again: both marks, the reason, and what is said now."""

from __future__ import annotations

from datetime import timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.services.workshop import again_over
from tests.web.conftest import NOON
from tests.web.practice.test_practice_pages import begin, filled
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task
from trainer.persistence.repositories import SqlStorage

LATER = "1.000000000new"
# Without the rules on types there is nothing against any type.
WITHOUT_TYPES = tuple(rule for rule in ALL_RULES if rule.id not in {"RCD-06", "RCD-07", "EV-02"})


@pytest.fixture
def address(client: FlaskClient, by_hand: Task, storage: SqlStorage) -> str:
    """The result of a wrong answer that was then judged by rules which know no types."""
    page = begin(client)
    done = client.post(page, data={**filled(by_hand, "A", "B"), "attempt": "1"}).location
    list(again_over(storage, WITHOUT_TYPES, LATER).run("the rules on <types> were taken back"))
    return done


def test_the_result_shows_old_and_new_marks_and_the_reason(client: FlaskClient, address: str) -> None:
    page = client.get(address).text
    section = page[page.index('id="again"') : page.index("</section>", page.index('id="again"'))]
    assert "the rules on &lt;types&gt; were taken back" in section
    assert "4 of 8" in section
    assert "8 of 8" in section
    assert "not safe to energise" in section
    assert LATER in section
    assert (NOON + timedelta(days=3)).strftime("%Y-%m-%d") in section


def test_what_was_said_first_stays_and_what_is_said_now_can_be_read(client: FlaskClient, address: str) -> None:
    first = client.get(address).text
    assert "RCD-07" in first[first.index("Decision by decision") :]
    now = client.get(f"{address}?under={LATER}").text
    assert "No failing finding" in now
    assert "the rules on &lt;types&gt; were taken back" in now


def test_progress_shows_it_beside_the_attempt(client: FlaskClient, address: str) -> None:
    page = client.get("/progress").text
    assert "Judged again: 8 of 8. Reason: the rules on &lt;types&gt; were taken back" in page
    assert "those first given" in page


def test_a_rule_set_that_never_judged_the_attempt_is_not_found(client: FlaskClient, address: str) -> None:
    assert client.get(f"{address}?under=1.ffffffffffff").status_code == 404


def test_an_attempt_that_was_not_judged_again_says_nothing_of_it(
    client: FlaskClient, by_hand: Task, app: Flask
) -> None:
    page = begin(client)
    done = client.post(page, data={**filled(by_hand, "B", "B"), "attempt": "1"}).location
    assert "Judged again" not in client.get(done).text
    assert "Judged again" not in client.get("/progress").text
