"""A citation keeps its clause and its support; what it means is said once on the page."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from tests.web.practice.test_practice_pages import handed_in
from trainer.domain.citations import Status
from trainer.domain.tasks import Task
from trainer.explain.engine import plain_engine
from trainer.web.practice.citing import SUPPORTS, cited

OF_OLD = "BS 7671:2018, 531.3.3 (clause as in A2:2022; compare with the current book). Status: {}."


@pytest.mark.parametrize("support", SUPPORTS, ids=lambda each: each.said)
def test_a_citation_is_taken_apart_without_a_loss(support) -> None:
    found = cited(OF_OLD.format(support.said))
    assert (found.text, found.seen_in, found.support) == ("BS 7671:2018, 531.3.3", "A2:2022", support)


def test_words_that_are_not_known_stay_as_they_were() -> None:
    assert cited("Somebody said so.").text == "Somebody said so."
    assert cited("X. Status: guessed.").text == "X. Status: guessed."


def test_every_status_of_the_rule_book_has_its_words() -> None:
    class Made:
        def __init__(self, status: Status) -> None:
            self.status = status.value

    macro = plain_engine().macro("explanations/_words.html", "status")
    assert macro is not None
    said = {str(macro(Made(status))).strip() for status in Status}
    assert said == {each.said for each in SUPPORTS}


def test_the_page_says_once_what_its_marks_mean(client: FlaskClient, by_hand: Task) -> None:
    page = handed_in(client, by_hand, "A", "B")
    assert page.count("How well each clause is supported") == 1
    assert "not compared with the print" not in page
    assert re.search(r'class="support" href="/rules/sources">', page)
