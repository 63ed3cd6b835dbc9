"""A citation keeps its clause and its support; what it means is said once on the page."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from tests.web.practice.test_practice_pages import handed_in
from trainer.domain.citations import Status
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task, TaskKind
from trainer.explain.engine import plain_engine
from trainer.services.scenarios import TaskRequest, make_task
from trainer.web.practice.citing import SUPPORTS, cited, taken_apart

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


def test_the_reason_of_a_question_is_told_before_where_it_stands() -> None:
    why = "It takes 2.5 s. Is that enough? It is not. IEC 62423, 5.2. Status: from memory, not compared with the print."
    told, (clause,) = taken_apart(f"{why} {OF_OLD.format('seen in a public text')}"[: len(why)])
    assert (told, clause.text) == ("It takes 2.5 s. Is that enough? It is not.", "IEC 62423, 5.2")
    told, clauses = taken_apart(f"{why} {OF_OLD.format('seen in a public text')}")
    assert told == "It takes 2.5 s. Is that enough? It is not."
    assert [each.text for each in clauses] == ["IEC 62423, 5.2", "BS 7671:2018, 531.3.3"]
    assert taken_apart("Nothing stands behind it.") == ("Nothing stands behind it.", ())


def test_no_citation_of_the_rule_book_has_an_end_of_sentence_within() -> None:
    for rule in ALL_RULES:
        assert not re.search(r"[.?!] ", f"{rule.citation.publication}, {rule.citation.clause}"), rule.id


@pytest.mark.parametrize("family", ALL_FAMILIES, ids=lambda each: each.id)
def test_the_reasons_of_every_family_are_taken_apart_without_a_rest(family) -> None:
    task = make_task(TaskRequest(seed=1, level=family.level, archetype=None, kind=TaskKind.QUESTION, family=family.id))
    for key in task.key.asks.values():
        told, clauses = taken_apart(key.why)
        assert told.endswith(".")
        assert not re.search("Status:|7671:2018", told)
        assert clauses
        assert all(each.support is not None and ". " not in each.text for each in clauses)
