"""A training record on paper: a page of its own with its own style, and a PDF of it where that can be made."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path

from flask import current_app, render_template, request, url_for
from flask_babel import gettext

from trainer.services.objectives import objectives
from trainer.services.programmes.codes import shown
from trainer.services.programmes.records import TrainingRecord
from trainer.web.people.account import qr
from trainer.web.wiring import wiring

_STYLE = "record.css"
_LINK = f'<link rel="stylesheet" href="{_STYLE}">'


def address_of(record: TrainingRecord) -> str:
    """The full address under which a third party checks the record."""
    return (wiring().address or request.url_root).rstrip("/") + url_for("records.check", code=record.code)


def paper_page(record: TrainingRecord) -> str:
    """The record as a page that stands by itself; it carries the name, because the holder hands it on."""
    return render_template(
        "records/paper.html",
        record=record,
        code=shown(record.code),
        address=address_of(record),
        picture=qr(address_of(record)),
        objectives=objectives(),
    )


def stylesheet() -> str:
    """The style of the page."""
    return Path(str(current_app.static_folder), _STYLE).read_text("utf-8")


def pdf_of(page: str) -> bytes | None:
    """The page as PDF, None where that cannot be made here. Nothing is fetched from anywhere."""
    if _printer_missing():
        return None
    printer = import_module("weasyprint")
    style = printer.CSS(string=stylesheet())
    # Its own link to the style is for browsers.
    written = printer.HTML(string=page.replace(_LINK, ""), url_fetcher=_nothing).write_pdf(stylesheets=[style])
    return bytes(written)


def why_no_pdf() -> str:
    """What is missing to make a PDF; empty where nothing is."""
    missing = _printer_missing()
    if not missing:
        return ""
    said = gettext(
        "A PDF cannot be made here: %(missing)s. Install the extra print of this program and the libraries it names; "
        "meanwhile print this page from the browser.",
        missing=missing,
    )
    return str(said)


@cache
def _printer_missing() -> str:
    try:
        import_module("weasyprint")
    except (ImportError, OSError) as error:
        # OSError: the package is there, a library of the system is not.
        return str(error).splitlines()[0][:200]
    return ""


def _nothing(url: str, *_more: object, **_named: object) -> dict[str, object]:
    raise ValueError(f"nothing is fetched for a record: {url[:80]}")
