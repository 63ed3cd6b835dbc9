"""A finding that rests on several decisions is told once, under the one that was marked wrong, and named at the others.

Expected places are worked out by hand from the marks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from flask import Flask, render_template_string
from lxml import html

from trainer.web.plan.findings import laid_out

FAILS, COMPLIES = "does_not_comply", "complies"
PAGE = """{% from "practice/said.html" import findings_of %}{% set laid = findings_laid_out(decisions) %}
{% for each in decisions %}<article id="{{ each.id }}">
{{ findings_of(each, laid, questions, folded=folded) }}</article>{% endfor %}"""


def said(name: str, outcome: str, subject: str = "circuit-1") -> dict[str, object]:
    return {
        "rule": "RCD-07", "subject": subject, "outcome": outcome, "headline": name, "happens": "It would not act.",
        "scale": None, "number": "", "remedy": "", "at_stake": "shock", "regulation": "531.3.3",
    }  # fmt: skip


def decision(name: str, marks: int, *explanations: dict[str, object]) -> dict[str, object]:
    return {"id": name, "marks": marks, "marks_available": 2, "explanations": list(explanations)}


def places(decisions: Sequence[Mapping[str, object]]) -> dict[str, tuple[list[str], list[tuple[str, str]]]]:
    """By decision the headlines of what is whole there, and what is named there with where it is told."""
    return {
        name: (
            [told.said["headline"] for told in laid.whole],
            [(told.said["headline"], told.at) for told in laid.elsewhere],
        )
        for name, laid in laid_out(decisions).items()
    }


def test_what_fails_stands_under_the_decision_that_was_wrong_though_a_right_one_comes_first() -> None:
    series = said("in series", FAILS)
    found = places([decision("upper", 2, series), decision("lower", 0, series)])
    assert found == {"upper": ([], [("in series", "lower")]), "lower": (["in series"], [])}


def test_of_several_that_were_wrong_the_first_has_it_whole() -> None:
    series = said("in series", FAILS)
    found = places([decision("a", 0, series), decision("b", 1, series), decision("c", 2, series)])
    assert found["a"] == (["in series"], [])
    assert found["b"] == found["c"] == ([], [("in series", "a")])


def test_of_several_that_were_wrong_the_one_with_least_to_say_keeps_its_reason() -> None:
    # A feed behind the wrong device fails by its order and, with it, by its rating; the rating only by itself.
    series, rated = said("in series", FAILS), said("rated too low", FAILS)
    found = places([decision("feed", 0, series, rated), decision("rating", 0, rated)])
    assert found["feed"] == (["in series"], [("rated too low", "rating")])
    assert found["rating"] == (["rated too low"], [])


def test_a_decision_that_got_some_of_its_marks_was_wrong() -> None:
    series = said("in series", FAILS)
    found = places([decision("right", 2, series), decision("partly", 1, series)])
    assert found == {"right": ([], [("in series", "partly")]), "partly": (["in series"], [])}


def test_what_a_decision_is_told_twice_stands_under_it_once() -> None:
    series = said("in series", FAILS)
    found = places([decision("a", 0, series, series), decision("b", 0, series, series)])
    assert found == {"a": (["in series"], []), "b": ([], [("in series", "a")])}


def test_where_none_was_wrong_the_first_that_depends_on_it_has_it() -> None:
    rated = said("rated", COMPLIES)
    found = places([decision("a", 2, rated), decision("b", 2, rated)])
    assert found == {"a": (["rated"], []), "b": ([], [("rated", "a")])}


def test_the_same_rule_at_two_subjects_is_two_findings() -> None:
    found = places([decision("a", 0, said("x", FAILS, "one")), decision("b", 0, said("x", FAILS, "two"))])
    assert found == {"a": (["x"], []), "b": (["x"], [])}


def test_a_marking_of_an_earlier_version_without_subjects_is_laid_out_too() -> None:
    old = {"rule": "RCD-07", "outcome": FAILS, "headline": "in series"}
    assert places([decision("a", 2, old), decision("b", 0, old)])["a"] == ([], [("in series", "b")])


def shown(app: Flask, decisions: Sequence[Mapping[str, object]], *, folded: bool = False) -> html.HtmlElement:
    questions = {str(each["id"]): f"Which {each['id']}?" for each in decisions}
    with app.test_request_context():
        page = render_template_string(PAGE, decisions=decisions, questions=questions, folded=folded)
    return html.fromstring(f"<main>{page}</main>")


def words(part: html.HtmlElement) -> str:
    return " ".join(part.text_content().split())


def test_under_a_decision_that_is_right_the_page_says_that_it_concerns_another(app: Flask) -> None:
    series, rated = said("In series with it", FAILS), said("Its rating", COMPLIES)
    page = shown(app, [decision("lower", 0, series), decision("upper", 2, series, rated)])
    lower, upper = page.get_element_by_id("lower"), page.get_element_by_id("upper")
    assert "It would not act." in words(lower)
    assert "This concerns another decision: Which lower?" in words(upper)
    # Whole once on the page, and the line leads to it.
    assert len(page.xpath('//section[contains(@class, "finding")][.//strong="In series with it"]')) == 1
    (link,) = upper.xpath('.//a[.="In series with it"]')
    assert page.get_element_by_id(link.get("href")[1:]) in lower.iterdescendants()
    # What complies is still told there, folded, and nothing that fails is called compliant.
    (folded,) = upper.xpath("./details")
    assert words(folded).startswith("Why it complies")
    assert "In series with it" not in words(folded)


def test_under_another_wrong_decision_it_is_a_line_that_leads_to_it(app: Flask) -> None:
    series = said("In series with it", FAILS)
    page = shown(app, [decision("a", 0, series), decision("b", 0, series)], folded=True)
    assert "Explained under: Which a?" in words(page.get_element_by_id("b"))
    assert "It would not act." not in words(page.get_element_by_id("b"))


def test_no_two_places_of_a_page_have_one_name(app: Flask) -> None:
    many = [said(f"finding {n}", FAILS if n % 2 else COMPLIES, f"s{n % 3}") for n in range(9)]
    page = shown(app, [decision("a", 0, *many[:6]), decision("b", 2, *many[3:]), decision("c", 0, *many[5:])])
    ids = page.xpath("//section/@id")
    assert len(ids) == len(set(ids)) == 9
