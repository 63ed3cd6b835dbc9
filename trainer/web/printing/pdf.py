"""Pages as PDF. Only the job runner makes one; the pages ask whether it could."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from io import BytesIO
from typing import Any

from trainer.domain.errors import Problem, TrainerError

PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core"
"""What Debian and its kin call the libraries and a font with every sign of the trade."""
_LIBRARIES = ("weasyprint", "pypdf")


class PrintError(TrainerError):
    """A PDF cannot be made here."""


@cache
def missing() -> str:
    """What is missing for making a PDF on this machine; empty where nothing is."""
    for name in _LIBRARIES:
        try:
            import_module(name)
        except (ImportError, OSError) as error:
            # OSError: the package is there, a library of the system is not.
            return (str(error).strip() or name).splitlines()[0][:200]
    return ""


def pdf_of(page: str, style: str) -> bytes:
    """An HTML page with a style sheet as PDF. Nothing is fetched from anywhere. *Raises* PrintError."""
    lacking = missing()
    if lacking:
        problem = f"cannot be made on this machine: {lacking}; install the extra print and the packages {PACKAGES}"
        raise PrintError(Problem(path="PDF", problem=problem))
    printer: Any = import_module("weasyprint")
    # Its remarks are about properties that it passes over; the log of the runner is for failures.
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    written = printer.HTML(string=page, url_fetcher=_nothing).write_pdf(stylesheets=[printer.CSS(string=style)])
    return bytes(written)


def joined(documents: Sequence[tuple[str, bytes]]) -> tuple[bytes, Mapping[str, tuple[int, int]]]:
    """Several PDFs as one with a bookmark for each, and the first and last page of each by its name."""
    library: Any = import_module("pypdf")
    writer = library.PdfWriter()
    pages: dict[str, tuple[int, int]] = {}
    for name, content in documents:
        first = len(writer.pages)
        writer.append(BytesIO(content), outline_item=name, import_outline=False)
        pages[name] = (first + 1, len(writer.pages))
    # The same fonts stand in every part: once is enough.
    writer.compress_identical_objects()
    made = BytesIO()
    writer.write(made)
    return made.getvalue(), pages


def _nothing(url: str, *_more: object, **_named: object) -> dict[str, object]:
    raise ValueError(f"nothing is fetched for a PDF: {url[:80]}")
