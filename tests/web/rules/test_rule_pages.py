"""The rule book on pages: index, search, one page for each rule, and the pages beside them."""

from __future__ import annotations

import re
from html import unescape

import pytest
from flask.testing import FlaskClient

from trainer.domain.questions.registry import families_for_rule
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.scope import NOT_COVERED
from trainer.domain.vocabulary import Edition
from trainer.services.rulebook.exercises import exercises_of
from trainer.services.rulebook.glossary import glossary
from trainer.services.rulebook.limit_tables import limit_tables
from trainer.services.rulebook.pages import page_texts
from trainer.services.rulebook.sources import publications

IDS = [rule.id for rule in ALL_RULES]
BESIDE = ("/rules/tables", "/rules/sources", "/rules/not-covered", "/rules/editions", "/rules/terms")

# The parts that a trade reader must find on every page, by the id of their heading.
PARTS = ("condition", "why", "remedy", "example", "gaps", "practice", "source")


def words(page: str) -> str:
    """What a reader sees: without tags, spaces made plain."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def squeezed(text: str) -> str:
    return "".join(text.split())


def test_the_index_links_to_every_rule(reader: FlaskClient) -> None:
    page = reader.get("/rules").text
    assert all(f'href="/rules/{rule.id}"' in page for rule in ALL_RULES)


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_every_rule_has_a_page_with_all_of_its_parts(reader: FlaskClient, rule: Rule) -> None:
    answer = reader.get(f"/rules/{rule.id}")
    page, text = answer.text, page_texts()[rule.id]
    assert answer.status_code == 200
    for part in PARTS:
        assert f'id="{part}"' in page, part
    said = squeezed(words(page))
    told = (rule.statement, text.condition, *text.not_covered, rule.why[1:], rule.remedy[1:], rule.assumes[1:])
    assert [each for each in told if squeezed(each) not in said] == []
    assert rule.formula in unescape(page)
    assert rule.citation.publication in unescape(page)
    assert rule.citation.status.value in page
    assert "Caution" in page


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_a_page_shows_the_outcomes_of_its_example_and_the_boundary(reader: FlaskClient, rule: Rule) -> None:
    page = reader.get(f"/rules/{rule.id}").text
    shown = page_texts()[rule.id].example.shown
    assert page.count('<section class="finding') == len(shown)
    assert ('class="finding is-pass"' in page) == ("passes" in shown)
    assert ('class="finding is-fail"' in page or 'class="finding is-advice"' in page) == ("fails" in shown)
    assert ('class="finding is-undetermined"' in page) == ("unknown" in shown)
    assert page.count('<ul class="boundary">') == 1


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_a_page_shows_each_limit_of_its_text_with_source(reader: FlaskClient, rule: Rule) -> None:
    page = reader.get(f"/rules/{rule.id}").text
    for path in page_texts()[rule.id].limits:
        assert f'<article class="limit" id="{path}">' in page
        for citation in limit_tables()[path].citations:
            assert citation.status.value in page


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_a_page_says_in_which_editions_the_rule_holds_and_what_was_not_seen(reader: FlaskClient, rule: Rule) -> None:
    said = words(reader.get(f"/rules/{rule.id}").text)
    for edition in Edition:
        assert f"{edition.value} {'holds' if edition in rule.editions else 'does not hold'}" in said
    if rule.citation.publication.startswith("BS 7671") and rule.citation.edition != Edition.A4_2026.value:
        assert "Not seen for this clause" in said


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_a_page_offers_practice_where_there_is_some(reader: FlaskClient, rule: Rule) -> None:
    page = reader.get(f"/rules/{rule.id}").text
    assert (f'action="/rules/{rule.id}/practise"' in page) == bool(
        exercises_of(rule.id).places or families_for_rule(rule.id)
    )


@pytest.mark.parametrize("rule", ALL_RULES, ids=IDS)
def test_a_page_names_the_short_questions_that_rest_on_the_rule(reader: FlaskClient, rule: Rule) -> None:
    said = squeezed(words(reader.get(f"/rules/{rule.id}").text))
    titles = [each.title for each in families_for_rule(rule.id)]
    assert (squeezed("Short questions:") in said) == bool(titles)
    assert all(squeezed(title) in said for title in titles)


def test_practise_this_opens_a_task(reader: FlaskClient) -> None:
    page = reader.get("/rules/EV-08").text
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert token
    answer = reader.post("/rules/EV-08/practise", data={"csrf_token": token[1]})
    assert answer.status_code == 303
    task = reader.get(answer.headers["Location"])
    assert task.status_code == 200
    assert "invented" in task.text


def test_a_rule_with_questions_only_asks_one(reader: FlaskClient) -> None:
    rule_id = next(each for each in IDS if not exercises_of(each).places and families_for_rule(each))
    page = reader.get(f"/rules/{rule_id}").text
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert token
    answer = reader.post(f"/rules/{rule_id}/practise", data={"csrf_token": token[1]})
    assert answer.status_code == 303
    assert reader.get(answer.headers["Location"]).status_code == 200


def test_a_rule_without_practice_has_none_to_start(reader: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.web.rules.families_for_rule", lambda _: ())
    page = reader.get("/rules/EV-08").text
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert token
    assert reader.post("/rules/LAB-02/practise", data={"csrf_token": token[1]}).status_code == 404


def test_the_search_says_when_nothing_is_found(reader: FlaskClient) -> None:
    assert "No rule holds all of these words" in reader.get("/rules?q=zebra").text


def test_the_search_keeps_what_was_typed_and_escapes_it(reader: FlaskClient) -> None:
    page = reader.get("/rules", query_string={"q": '<script>"'}).text
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_the_search_knows_what_the_trade_calls_things(reader: FlaskClient) -> None:
    page = reader.get("/rules", query_string={"q": "earth rod"}).text
    assert 'href="/rules/RCD-09"' in page
    assert 'href="/rules/OC-08"' not in page


def test_an_edition_shows_its_own_rules(reader: FlaskClient) -> None:
    page = reader.get("/rules?edition=A2:2022").text
    assert 'href="/rules/RCD-01"' in page
    assert 'href="/rules/GEN-04"' not in page


@pytest.mark.parametrize("address", ["/rules?edition=A9", "/rules/editions?from=A9", "/rules/editions?to=x"])
def test_an_edition_that_does_not_exist_is_not_found(reader: FlaskClient, address: str) -> None:
    assert reader.get(address).status_code == 404


def test_an_unknown_rule_is_refused_with_the_nearest_one(reader: FlaskClient) -> None:
    answer = reader.get("/rules/OC-99")
    assert answer.status_code in (400, 404)
    assert "OC-" in answer.text


@pytest.mark.parametrize("address", BESIDE)
def test_the_pages_beside_the_rules_lead_to_one_another_and_carry_the_caution(
    reader: FlaskClient, address: str
) -> None:
    page = reader.get(address).text
    assert "Caution" in page
    assert all(f'href="{other}"' in page for other in (*BESIDE, "/rules"))


def test_the_page_of_tables_shows_every_limit_and_who_reads_it(reader: FlaskClient) -> None:
    page = reader.get("/rules/tables").text
    assert all(f'id="{path}"' in page for path in limit_tables())
    assert 'href="/rules/RCD-09"' in page


def test_the_page_of_sources_shows_every_publication_and_status(reader: FlaskClient) -> None:
    page = unescape(reader.get("/rules/sources").text)
    for each in publications():
        assert each.name[1:] in page
        assert all(status.value in page for status, _ in each.statuses)


def test_the_page_of_gaps_names_whole_subjects_and_each_rule(reader: FlaskClient) -> None:
    page = unescape(reader.get("/rules/not-covered").text)
    assert all(each[1:] in page for each in NOT_COVERED)
    assert all(f'href="/rules/{rule_id}"' in page for rule_id in IDS)


def test_two_editions_are_compared_by_rules_and_values(reader: FlaskClient) -> None:
    page = reader.get("/rules/editions?from=A2:2022&to=A4:2026").text
    added = page.split("Values that differ")[0]
    assert set(re.findall(r'href="/rules/([A-Z0-9]+-\d+[A-Z]?)"', added)) == {
        "GEN-02",
        "GEN-04",
        "V2X-01",
        "BAT-02",
    }
    assert "choose two" in reader.get("/rules/editions?from=A4:2026&to=A4:2026").text


def test_the_glossary_has_a_place_for_each_term(reader: FlaskClient) -> None:
    page = reader.get("/rules/terms").text
    assert all(f'<dt id="{term.id}">' in page for term in glossary())


def test_terms_in_an_example_lead_to_the_glossary_and_keep_the_words(reader: FlaskClient) -> None:
    page = reader.get("/rules/RCD-07").text
    assert '<a class="term" href="/rules/terms#smooth-d-c">smooth d.c.</a>' in page


@pytest.mark.parametrize("rule_id", IDS)
def test_the_example_of_a_rule_can_be_tried_with_other_values(reader: FlaskClient, rule_id: str) -> None:
    links = re.findall(r'href="(/try\?[^"]+)"', reader.get(f"/rules/{rule_id}").text)
    assert len(links) == 1
    assert reader.get(unescape(links[0])).status_code == 200
