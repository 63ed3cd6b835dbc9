"""What is printed is the paper: the text of the PDF, read by pypdf, against what the screen shows.

pypdf is a general-purpose reader of PDF (ISO 32000); A4 is 210 mm by 297 mm (ISO 216), which is
595.3 by 841.9 points of 1/72 inch.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask
from lxml import html
from pypdf import PdfReader
from sqlalchemy import select

from tests.web.papers.conftest import moved
from tests.web.people.conftest import Browser, token_in
from tests.web.printing.test_pages import asked, job_of
from trainer.domain.asks.answers import told
from trainer.domain.tasks import Key, Trap
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.sittings import SittingRow
from trainer.web.printing import sheets

pytestmark = pytest.mark.usefixtures("printer")

CANARY = "Xylophone canary"


def bare(text: str) -> str:
    """Without spaces: where a line is broken is no matter of what it says."""
    return re.sub(r"\s+", "", text)


def pages_of(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def shown_on_screen(page: str) -> list[str]:
    """Questions, options and sheets of a task as a learner sees them while sitting."""
    tree = html.fromstring(page)
    form = tree.get_element_by_id("decisions")
    choices = form.xpath(
        ".//label[input]/span | .//fieldset/legend | .//select[starts-with(@id,'choice')]/option[@value!='']"
    )
    sheets_shown = tree.xpath("//*[@id='papers']//*[self::h3 or self::th or self::td or self::li]")
    heads = tree.xpath("//main//h1 | //main//p[contains(@class,'lead')]")
    # The way from the question down to its options is of the screen alone.
    for link in tree.xpath("//main//p[contains(@class,'lead')]/a[@href='#decisions']"):
        link.text = ""
    drawn = tree.xpath("//*[@id='drawing']//*[local-name()='svg']//*[local-name()='text']")
    found = [each.text_content().strip() for each in (*heads, *choices, *sheets_shown)]
    words = [piece for each in drawn for piece in each.itertext()]
    return [each for each in (*found, *words) if each.strip()]


def test_the_paper_is_what_the_screen_shows_and_the_key_that_of_the_variant(
    lecturer: Browser,
    paper: str,
    run: Callable[[], None],
    storage: SqlStorage,
    app: Flask,
    browser_of: Callable[[str], Browser],
) -> None:
    moved(lecturer, paper, "open", 3)
    paper_id = paper.rpartition("/")[2]
    learner = browser_of("learner-1")
    start = {"number": "1", "csrf_token": token_in(learner.get(f"/my-papers/{paper_id}").text)}
    begun = learner.client.post(f"/my-papers/{paper_id}/start", data=start)
    assert begun.status_code == 303
    with storage.database.reading() as session:
        sitting = session.scalars(select(SittingRow)).one()
    sitting_at = begun.headers["Location"].partition("/items/")[0]
    screens = [learner.get(f"{sitting_at}/items/{number}").text for number in range(1, 7)]
    asked(lecturer, paper, first=str(sitting.variant))
    run()
    name, job = f"variant-{sitting.variant}", job_of(storage)
    assert job.state == "done", job.failure
    printed = pages_of(lecturer.get(f"{paper}/print/{job.id}/{name}-paper.pdf").data)
    everything = bare(" ".join(printed))
    missing = [each for page in screens for each in shown_on_screen(page) if bare(each) not in everything]
    assert missing == []
    assert sum(len(shown_on_screen(page)) for page in screens) > 100
    for number, page in enumerate(printed, 1):
        assert f"Variant {sitting.variant}" in page
        assert f"Page {number} of {len(printed)}" in page
        assert "Candidate number" in page
    assert bare("This is a training aid with invented installations.") in everything
    # 10 + 3 times 2 + 7 + 5, as the paper was set.
    assert "28" in printed[0]
    key = bare(" ".join(pages_of(lecturer.get(f"{paper}/print/{job.id}/{name}-key.pdf").data)))
    with app.test_request_context():
        _, _, drawn = sheets._drawn("college", paper_id, sitting.variant)
    for item in drawn:
        task = item.task
        answers = [told(each, task.key.asks[each.id].model) for each in task.asks]
        answers += [each.option(task.key.intended[each.id]).label for each in task.decisions]
        whys = [key_of.why for key_of in task.key.asks.values()]
        assert [each for each in (*answers, *whys, task.title) if bare(each) not in key] == []
        assert [each for each in whys if bare(each) in everything] == []


def test_nothing_of_the_key_is_in_what_the_candidate_gets(
    paper: str, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    paper_id = paper.rpartition("/")[2]
    with app.test_request_context():
        found, organisation, drawn = sheets._drawn("college", paper_id, 1)
    planted = []
    for item in drawn:
        key = item.task.key
        asks = {
            name: replace(
                each, why=f"{CANARY} why", wrongs=tuple(replace(wrong, why=f"{CANARY} wrong") for wrong in each.wrongs)
            )
            for name, each in key.asks.items()
        }
        planted.append(
            replace(item, task=replace(item.task, key=Key(intended=key.intended, traps=key.traps, asks=asks)))
        )
    monkeypatch.setattr(sheets, "_drawn", lambda *_: (found, organisation, planted))
    with app.test_request_context():
        pages = sheets.paper_pages("college", paper_id, 1)
    assert CANARY in pages.key
    assert CANARY not in pages.paper
    rules = {trap.rule for item in drawn for trap in item.task.key.traps} | {
        rule for item in drawn for each in item.task.key.asks.values() for rule in each.rules
    }
    assert rules
    assert [each for each in rules if each in pages.paper] == []
    assert not any(word in pages.paper for word in ("acceptable answers", "Many believe", "intended"))


def test_the_candidates_item_has_no_way_to_the_key() -> None:
    assert not {"task", "key", "seed"} & set(sheets.PaperItem.__slots__)
    assert Trap.__slots__


def test_the_sheet_is_a4_black_on_white_and_asks_nothing_of_the_net(paper: str, app: Flask) -> None:
    from trainer.web.printing.pdf import pdf_of

    with app.test_request_context():
        pages = sheets.paper_pages("college", paper.rpartition("/")[2], 1)
    assert re.findall(r'(?:src|href)="(?!#)[^"]*"', pages.paper + pages.key) == []
    static = Path(str(app.static_folder))
    style = (static / "print-paper.css").read_text() + (static / "print-drawing.css").read_text()
    assert set(re.findall(r"#[0-9a-f]{3,8}\b", style)) <= {"#000000", "#777777", "#ffffff"}
    assert "url(" not in style
    page = PdfReader(io.BytesIO(pdf_of("<p>One page</p>", pages.style))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((595.28, 841.89), abs=0.1)
