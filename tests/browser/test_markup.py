"""The markup of every page, checked by a general-purpose parser and against its own ids.

html5lib: an implementation of the parsing rules of the WHATWG HTML standard; strict, it refuses every parse error.
"""

from __future__ import annotations

import html5lib
from flask import Flask
from lxml import html

from tests.browser.conftest import Site


def _pages(application: Flask, site: Site) -> dict[str, str]:
    client = application.test_client()
    client.set_cookie("trainer", site.cookie)
    return {name: client.get(path).text for name, path in site.paths.items()}


def test_every_page_parses_without_an_error(application: Flask, site: Site) -> None:
    found = {}
    for name, text in _pages(application, site).items():
        parser = html5lib.HTMLParser(strict=False)
        parser.parse(text)
        if parser.errors:
            found[name] = [(place, code) for place, code, _ in parser.errors][:5]
    assert found == {}


def test_every_id_is_there_once_and_every_reference_leads_to_one(application: Flask, site: Site) -> None:
    found = {}
    for name, text in _pages(application, site).items():
        tree = html.fromstring(text)
        ids = tree.xpath("//@id")
        twice = {each for each in ids if ids.count(each) > 1}
        named = [
            each for value in tree.xpath("//@aria-labelledby|//@for|//@aria-describedby") for each in value.split()
        ]
        led_to = [value[1:] for value in tree.xpath("//@href") if value.startswith("#") and len(value) > 1]
        lost = {each for each in (*named, *led_to) if each not in ids}
        if twice or lost:
            found[name] = (twice, lost)
    assert found == {}


def test_the_parser_sees_what_is_wrong() -> None:
    parser = html5lib.HTMLParser()
    parser.parse("<!doctype html><title>x</title><p><table><b></table>")
    assert parser.errors
