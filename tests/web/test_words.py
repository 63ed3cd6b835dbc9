"""No text of the interface stands outside the message catalogue."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from flask import Flask

# Names, symbols and editions that no language translates.
SAME_IN_EVERY_LANGUAGE = re.compile(r"BS 7671|Protection Trainer|A\d:\d{4}|\b[MN]\b|[\d\s.,:;·=~?/+()-]+")


class VisibleText(HTMLParser):
    """Collects the text that a reader sees or hears."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.texts += [value or "" for name, value in attrs if name in {"aria-label", "title", "alt", "placeholder"}]


def pseudo(text: str, **values: object) -> str:
    """The text in a language of our own: every word becomes ¤, so that what is left was never looked up."""
    filled = text % values if values else text
    # The name of a value that is filled in later is not a word.
    return re.sub(r"(%\(\w+\)[ds])|[^\W\d_]+", lambda found: found[1] or "¤", filled)


def left_outside(page: str) -> set[str]:
    reader = VisibleText()
    reader.feed(page)
    left = {SAME_IN_EVERY_LANGUAGE.sub(" ", text).replace("¤", " ") for text in reader.texts}
    return {" ".join(text.split()) for text in left if re.search(r"[^\W\d_]", text)}


@pytest.fixture
def pseudo_language(monkeypatch: pytest.MonkeyPatch) -> None:
    import flask_babel

    class Catalogue:
        def ugettext(self, text: str) -> str:
            return pseudo(text)

        def ungettext(self, one: str, many: str, number: int) -> str:
            return pseudo(one if number == 1 else many)

        gettext, ngettext = ugettext, ungettext

    monkeypatch.setattr(flask_babel.Domain, "get_translations", lambda _self: Catalogue())


@pytest.mark.usefixtures("pseudo_language")
@pytest.mark.parametrize("address", ["/", "/about", "/no-such-page"])
def test_every_text_of_the_page_can_be_translated(app: Flask, address: str) -> None:
    assert left_outside(app.test_client().get(address).text) == set()


def test_the_check_sees_a_text_that_was_forgotten() -> None:
    assert left_outside("<p>Forgotten</p><p>¤ 3</p>") == {"Forgotten"}


TAG = re.compile(r"{#.*?#}|{%-?\s*(trans|blocktrans)\b.*?{%-?\s*endtrans\s*-?%}|{%.*?%}|{{.*?}}|<!--.*?-->", re.DOTALL)


def test_no_page_template_holds_words_outside_a_translated_block(root: Path) -> None:
    """Pages that a test cannot easily reach: what is left of a template without its blocks holds no words."""
    outside = {}
    for path in sorted((root / "templates").rglob("*.html")):
        if "explanations" in path.parts:
            continue  # one language per file, like scenario content
        words = left_outside(TAG.sub(" ", path.read_text(encoding="utf-8")))
        if words:
            outside[str(path.relative_to(root))] = words
    assert outside == {}
