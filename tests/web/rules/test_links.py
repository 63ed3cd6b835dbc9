"""Links in texts: escaped first, whole words only, each term once."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient
from markupsafe import Markup

from trainer.web.rules.links import rule_links, term_links


@pytest.fixture(autouse=True)
def _within_a_request(reader: FlaskClient) -> object:
    with reader.application.test_request_context():
        yield


def test_a_rule_that_exists_becomes_a_link_and_another_does_not() -> None:
    assert rule_links("see OC-02 and OC-99") == 'see <a href="/rules/OC-02">OC-02</a> and OC-99'


def test_signs_of_a_text_are_escaped() -> None:
    assert "<b>" not in rule_links("<b>OC-02</b>")
    assert "<b>" not in term_links("<b>PME</b>")


def test_tags_of_safe_words_stay_and_their_attributes_are_left_alone() -> None:
    linked = term_links(Markup('<p title="PME">PME</p>'))
    assert linked == '<p title="PME"><a class="term" href="/rules/terms#pme">PME</a></p>'


def test_a_term_is_linked_once_and_as_a_whole_word() -> None:
    linked = term_links("PME here, PME there; RCBOs not")
    assert linked.count("<a ") == 1


def test_the_longer_term_wins() -> None:
    assert "#external-earth-fault-loop-impedance-ze" in term_links("the external earth fault loop impedance")
