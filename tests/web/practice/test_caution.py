"""The caution stands wherever a verdict stands: read in the templates of all pages, and seen on those of practice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.web.practice.test_practice_pages import begin, filled, handed_in
from trainer.domain.tasks import Task

# What a template calls where it tells that something complies, fails, earned marks or may be energised.
VERDICT = re.compile(
    r"said_in_full|safe_to_energise|marks_available|is_cleared|verdict|\bstate\(|\bfinding\(|\bmark\(|outcome"
)
EMPTIED = re.compile(r"{%\s*block caution\s*%}\s*{%\s*endblock\s*%}")
GIVEN = re.compile(r"partials/caution\.html|caution_box\(\)|\bcaution\(\)")
EXTENDS = re.compile(r'{%\s*extends "([^"]+)"')


def read(folder: Path, name: str) -> str:
    path = folder / name
    return path.read_text("utf-8") if path.exists() else ""


def chain_of(folder: Path, name: str) -> list[str]:
    """The texts of a template and of all that it extends, itself first."""
    texts = [read(folder, name)]
    while found := EXTENDS.search(texts[-1]):
        texts.append(read(folder, found[1]))
    return texts


def lacks_caution(folder: Path, name: str) -> bool:
    """True for a page that tells a verdict and shows no caution."""
    *below, root = chain_of(folder, name)
    if "<html" not in root:
        return False
    page = below or [root]
    is_judging = any(VERDICT.search(text) for text in page)
    is_left = bool(below and GIVEN.search(root)) and not any(EMPTIED.search(text) for text in below)
    return is_judging and not is_left and not any(GIVEN.search(text) for text in page)


def pages(root: Path) -> list[str]:
    folder = root / "templates"
    return [str(path.relative_to(folder)) for path in sorted(folder.rglob("*.html"))]


def test_every_page_that_tells_a_verdict_shows_the_caution(root: Path) -> None:
    assert [name for name in pages(root) if lacks_caution(root / "templates", name)] == []


def test_the_pages_of_a_sitting_show_it_while_it_runs(root: Path) -> None:
    for name in ("item", "review", "break", "handed_in", "result", "result_item"):
        assert not EMPTIED.search(read(root / "templates", f"sittings/{name}.html")), name


@pytest.mark.parametrize(
    ("text", "is_bare"),
    [
        ('{% extends "base.html" %}{% block caution %}{% endblock %}{{ said_in_full(x) }}', True),
        ('{% extends "base.html" %}{% block caution %}{% endblock %}{{ each.marks_available }}', True),
        ('{% extends "base.html" %}{{ said_in_full(x) }}', False),
        ('{% extends "base.html" %}{% block caution %}{% endblock %}Nothing is judged.', False),
        (
            (
                '{% extends "base.html" %}{% block caution %}{% endblock %}'
                '{{ said_in_full(x) }}{% include "partials/caution.html" %}'
            ),
            False,
        ),
        ("<html>{{ grade.safe_to_energise }}</html>", True),
        ("<html>{{ grade.safe_to_energise }}{{ caution_box() }}</html>", False),
    ],
)
def test_the_check_tells_bare_pages_from_others(tmp_path: Path, text: str, is_bare: bool) -> None:
    (tmp_path / "base.html").write_text('<html>{% include "partials/caution.html" %}</html>', encoding="utf-8")
    (tmp_path / "page.html").write_text(text, encoding="utf-8")
    assert lacks_caution(tmp_path, "page.html") is is_bare


def test_tasks_results_faults_progress_and_tables_show_it_once(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    result = client.post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"}).location
    incomplete = client.post(address, data={"attempt": "2"})
    told = {
        name: client.get(name).text
        for name in (address, result, f"{result}/fault", "/progress", "/plan", "/waveform", "/rules/RCD-07", "/try")
    }
    told["incomplete"] = incomplete.text
    told["right"] = handed_in(client, by_hand, "B", "B")
    assert {name: page.count("This is a training aid") for name, page in told.items()} == dict.fromkeys(told, 1)
