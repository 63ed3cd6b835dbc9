"""What is filled once and kept for whoever looks next: of the task all, of people nothing."""

from __future__ import annotations

import re
import sys
from dataclasses import replace

import pytest
from flask import Flask
from flask.testing import FlaskClient
from flask_babel import force_locale

from tests.web.practice.conftest import CANARY
from tests.web.practice.test_practice_pages import begin
from trainer.domain.asks.forms import Ask, AskForm, Choice
from trainer.domain.tasks import Task
from trainer.web.once import once, once_while_reading
from trainer.web.practice.forms import EMPTY, Filled
from trainer.web.practice.pieces import Kept, Pieces, pieces_of


def kept_of(app: Flask) -> Kept:
    kept = app.extensions["trainer.pieces"]
    assert isinstance(kept, Kept)
    return kept


def texts_of(kept: Kept) -> list[str]:
    return list(kept._texts.values())


def without_token(page: str) -> str:
    return re.sub(r'(name="csrf_token" value=")[^"]*', r"\1", page)


def test_two_who_have_the_same_task_see_neither_the_choices_nor_the_marks_of_each_other(
    app: Flask, by_hand: Task
) -> None:
    ann, ben = app.test_client(), app.test_client()
    at_ann, at_ben = begin(ann), begin(ben)
    assert at_ann != at_ben
    upper, lower = by_hand.decisions
    ann.post(at_ann, data={"mark": "s1.r1", f"choice-{upper.id}": "AC", f"sure-{upper.id}": "3"})
    before = without_token(ann.get(at_ann).text)
    page = ben.get(at_ben).text
    assert "checked" not in page.replace('value="decisions" checked', "")
    assert "is-marked" not in page
    assert at_ann.rpartition("/")[2] not in page
    ben.post(at_ben, data={"mark": "s1.n1", f"choice-{lower.id}": "B"})
    assert without_token(ann.get(at_ann).text) == before
    assert re.findall(r'value="(\w+)" checked', before) == ["decisions", "AC"]
    assert re.findall(r'name="unmark" value="([^"]+)"', before) == ["s1.r1"]


def test_a_stranger_at_the_address_gets_no_place_to_mark_whatever_was_filled_before(app: Flask, by_hand: Task) -> None:
    ann, stranger = app.test_client(), app.test_client()
    address = begin(ann)
    assert f'formaction="{address}#line-s1-r1"' in ann.get(address).text
    page = stranger.get(address).text
    assert "formaction" not in page
    assert 'id="hints"' not in page
    assert f'formaction="{address}#line-s1-r1"' in ann.get(address).text


def test_a_page_seen_again_is_the_page_seen_first(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    first = client.get(address).text
    assert without_token(client.get(address).text) == without_token(first)
    chosen = {f"choice-{by_hand.decisions[0].id}": "A"}
    with_choice = client.post(address, data={"show": "drawing", **chosen}).text
    assert without_token(client.get(address).text) == without_token(with_choice)
    client.post(address, data={"show": "drawing"})
    assert without_token(client.get(address).text) == without_token(first)


def test_a_task_that_was_corrected_is_filled_anew(app: Flask, client: FlaskClient, by_hand: Task) -> None:
    practice = app.extensions["trainer.practice"]
    assert "<td>7.4\u00a0kW</td>" in client.get(begin(client)).text
    sheet = by_hand.pack[0]
    corrected = replace(by_hand, pack=(replace(sheet, rows=(replace(sheet.rows[0], value="11"),)),))
    app.extensions["trainer.practice"] = replace(practice, make=lambda _request: (corrected, None))
    page = client.get(begin(client)).text
    assert "<td>11\u00a0kW</td>" in page
    assert "<td>7.4" not in page


def test_nothing_that_is_kept_holds_the_address_of_a_page_the_key_or_what_was_looked_for(
    app: Flask, client: FlaskClient, by_hand: Task
) -> None:
    address = begin(client)
    client.get(address)
    client.post(address, data={"mark": "s1.r1", f"choice-{by_hand.decisions[0].id}": "A"})
    client.get(f"{address}?find=elephant")
    client.get(f"{address}?find=kW")
    held = " ".join([*texts_of(kept_of(app)), *texts_of(app.extensions["trainer.common_pieces"])])
    assert "7.4" in held
    for never in (address, CANARY, "elephant", "<mark>", "is-marked", "csrf_token"):
        assert never not in held


def test_the_piece_with_places_to_mark_is_another_than_the_one_without_and_has_the_address_of_who_asks() -> None:
    pieces = Pieces(Kept(), "task")

    def paper(address: str) -> str:
        return str(
            pieces.addressed("paper", "s1", address=address, caller=lambda at: f"mark at {at}" if at else "read")
        )

    assert [paper(each) for each in ("/s/ann", "", "/s/ben", "")] == [
        "mark at /s/ann",
        "read",
        "mark at /s/ben",
        "read",
    ]
    assert paper('/s/"><b>') == "mark at /s/&#34;&gt;&lt;b&gt;"


@pytest.mark.parametrize(
    ("form", "answer", "is_kept"),
    [
        (AskForm.ONE, "a", True),
        (AskForm.POINT, "b", True),
        (AskForm.ONE, "what somebody wrote", False),
        (AskForm.NUMBER, "12", False),
        (AskForm.SEVERAL, "a", False),
        (AskForm.ORDER, "a>b", False),
    ],
)
def test_of_answers_only_what_can_be_chosen_is_kept(form: AskForm, answer: str, is_kept: bool) -> None:
    kept = Kept()
    ask = Ask(id="q", question="?", form=form, choices=(Choice(id="a", label="A"), Choice(id="b", label="B")))
    filled = Filled(answers={"q": answer}, certainty={}, problems={})
    pieces = Pieces(kept, "task")
    assert pieces.asked(ask, filled, {}, with_marks=True, caller=lambda: "with the answer") == "with the answer"
    assert bool(texts_of(kept)) is is_kept
    assert pieces.asked(ask, EMPTY, {}, with_marks=True, caller=lambda: "without") == "without"


def test_a_choice_that_is_none_of_the_options_is_not_kept(by_hand: Task) -> None:
    kept, decision = Kept(), by_hand.decisions[0]
    for choice in ("what somebody wrote", decision.options[0].id):
        filled = Filled(answers={decision.id: choice}, certainty={}, problems={})
        Pieces(kept, "task").decided(decision, filled, with_marks=True, caller=lambda said=choice: f"chose {said}")
    assert texts_of(kept) == [f"chose {decision.options[0].id}"]


def test_a_part_is_another_with_another_question_answer_or_certainty_and_without_marks(by_hand: Task) -> None:
    pieces, decision = Pieces(Kept(), "task"), by_hand.decisions[0]
    states = [
        (option.id, sure, with_marks)
        for option in decision.options[:2]
        for sure in (0, 3)
        for with_marks in (True, False)
    ]
    for _ in range(2):
        for choice, sure, with_marks in states:
            filled = Filled(answers={decision.id: choice}, certainty={decision.id: sure}, problems={})
            said = f"{choice}, {sure}, {with_marks}"
            assert pieces.decided(decision, filled, with_marks=with_marks, caller=lambda said=said: said) == said
    for each in by_hand.decisions:
        assert pieces.decided(each, EMPTY, with_marks=True, caller=lambda said=each.id: said) == each.id


def test_ticks_that_are_not_an_answer_yet_and_problems_are_not_kept() -> None:
    kept = Kept()
    ask = Ask(id="q", question="?", form=AskForm.SEVERAL, choices=(Choice(id="a", label="A"),))
    pieces = Pieces(kept, "task")
    pieces.asked(ask, EMPTY, {"q": {"a": "on"}}, with_marks=True, caller=lambda: "ticked")
    troubled = Filled(answers={}, certainty={}, problems={"q": "Not answered yet."})
    pieces.asked(ask, troubled, {}, with_marks=True, caller=lambda: "with its problem")
    assert texts_of(kept) == []


def test_what_is_kept_stays_below_its_bound_and_the_oldest_goes_first() -> None:
    text = "x" * 1000
    filled: list[int] = []

    def fill(number: int) -> str:
        filled.append(number)
        return text

    kept = Kept(most_bytes=10 * sys.getsizeof(text))
    for number in range(500):
        kept.of(("task", number), lambda number=number: fill(number))
        kept.of(("task", 0), lambda: fill(0))
        assert kept.held_bytes == sum(map(sys.getsizeof, texts_of(kept))) <= 10 * sys.getsizeof(text)
    # Whoever asks for one again and again keeps it.
    assert filled == list(range(500))
    assert kept.of(("task", 0), lambda: "filled anew") == text
    assert kept.of(("task", 499), lambda: "filled anew") == text
    assert kept.of(("task", 1), lambda: "filled anew") == "filled anew"


def test_a_piece_larger_than_the_bound_is_filled_and_not_kept() -> None:
    kept = Kept(most_bytes=100)
    assert kept.of(("task",), lambda: "y" * 1000) == "y" * 1000
    assert kept.held_bytes == 0


def test_each_language_has_pieces_of_its_own(app: Flask) -> None:
    with app.test_request_context():
        english = pieces_of("a task").text(("words",), lambda: "words")
        with force_locale("cy"):
            welsh = pieces_of("a task").text(("words",), lambda: "geiriau")
        assert (english, welsh) == ("words", "geiriau")
        assert pieces_of("a task").text(("words",), lambda: "other") == "words"


@pytest.mark.parametrize(("method", "asked_again"), [("GET", False), ("HEAD", False), ("POST", True)])
def test_what_a_form_may_change_is_asked_once_only_while_a_page_is_read(
    app: Flask, method: str, asked_again: bool
) -> None:
    answers = iter((1, 2))
    with app.test_request_context(method=method):
        first = once_while_reading("work", "page", lambda: next(answers))
        assert (once_while_reading("work", "page", lambda: next(answers)) != first) is asked_again
    with app.test_request_context(method=method):
        assert once("work", "page", lambda: 7) == 7


def test_a_decision_that_nobody_touched_is_filled_once_for_all_tasks_and_never_with_a_choice(by_hand: Task) -> None:
    shared, decision = Kept(), by_hand.decisions[0]
    one, other = Pieces(Kept(), "one", shared, "en"), Pieces(Kept(), "other", shared, "en")
    about = ("Board", ("devices.a",), 4)
    assert one.untouched(decision, about, EMPTY, caller=lambda: "as it is") == "as it is"
    assert other.untouched(decision, about, EMPTY, caller=lambda: "filled anew") == "as it is"
    for filled in (
        Filled(answers={decision.id: decision.options[0].id}, certainty={}, problems={}),
        Filled(answers={}, certainty={decision.id: 2}, problems={}),
        Filled(answers={}, certainty={}, problems={decision.id: "Not answered yet."}),
    ):
        assert other.untouched(decision, about, filled, caller=lambda: "somebody's") == "somebody's"
    assert texts_of(shared) == ["as it is"]


def test_a_decision_with_other_words_marks_places_or_in_another_language_is_filled_anew(by_hand: Task) -> None:
    shared, decision = Kept(), by_hand.decisions[0]
    renamed = replace(decision, options=(replace(decision.options[0], label="other words"), *decision.options[1:]))
    states = [
        (Pieces(Kept(), "one", shared, language), each, about)
        for language in ("en", "cy")
        for each in (decision, replace(decision, question="Another?"), renamed)
        for about in (("Board", ("devices.a",), 4), ("Board", ("devices.b",), 4), ("Board", ("devices.a",), None))
    ]
    for _ in range(2):
        for number, (pieces, each, about) in enumerate(states):
            assert pieces.untouched(each, about, EMPTY, caller=lambda said=str(number): said) == str(number)
