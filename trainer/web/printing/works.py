"""What the job runner does. Papers: each part is one variant with its key; then they are put together."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from functools import cache, cached_property
from importlib import import_module

from flask import Flask

from trainer.domain.errors import Problem
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.jobs.running import Work
from trainer.web.files.kinds import EVIDENCE, FILE_KINDS, MARKS, MATRIX, RECORD, RESULTS, VARIANTS
from trainer.web.printing.asking import KIND, Wanted, wanted_of
from trainer.web.printing.pdf import PrintError, joined, pdf_of

PDF, ZIP = "application/pdf", "application/zip"
_WHATS = ("paper", "key")
# The same in every archive, so that the same paper gives the same bytes; the oldest that the format can say.
_LONG_AGO = (1980, 1, 1, 0, 0, 0)


ALL_KINDS = (KIND, *FILE_KINDS, RESULTS, VARIANTS)
QUICK = frozenset(ALL_KINDS) - {KIND, EVIDENCE}
"""Done in seconds: they do not wait for a long print."""


def works_of(application: Callable[[], Flask]) -> Mapping[str, Work]:
    """All kinds of jobs; application and pages are put together when the first one is done."""
    shared = cache(application)
    return {KIND: PaperPrinting(shared), **{name: _Later(place, shared) for name, place in _PLACES.items()}}


_PLACES = {
    MATRIX: "trainer.web.programmes.making:MatrixFile",
    EVIDENCE: "trainer.web.programmes.evidence:EvidencePack",
    MARKS: "trainer.web.papers.exports:MarksFile",
    RECORD: "trainer.web.records.paper:RecordPdf",
    RESULTS: "trainer.web.files.results:ResultsPdf",
    VARIANTS: "trainer.web.files.variants:VariantDrawing",
}


class _Later:
    """Work that is loaded with the first job of its kind: a runner that waits holds little memory."""

    def __init__(self, place: str, application: Callable[[], Flask]) -> None:
        self._place = place
        self._application = application

    @cached_property
    def _work(self) -> Work:
        # The application loads the pages in the order in which they need each other.
        application = self._application()
        module, _, name = self._place.partition(":")
        work: Work = getattr(import_module(module), name)(lambda: application)
        return work

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """A part."""
        return self._work.part(job, number, file)

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """What is handed out."""
        return self._work.bound(job, file)

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about."""
        return self._work.facts(job)


class PaperPrinting:
    """Prints variants of a paper with their keys."""

    def __init__(self, application: Callable[[], Flask]) -> None:
        self._application = application

    @cached_property
    def _app(self) -> Flask:
        return self._application()

    def part(self, job: Job, number: int, _file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """One variant: the paper, and its key as a file of its own. *Raises* TrainerError."""
        from trainer.web.printing.sheets import paper_pages  # noqa: PLC0415 - much, and only where it is done

        wanted = wanted_of(job.payload)
        variant = wanted.variants[number - 1]
        with self._app.test_request_context():
            pages = paper_pages(job.organisation_id or "", wanted.paper_id, variant)
        made = zip(_WHATS, (pages.paper, pages.key), strict=True)
        return [
            JobFile(name=_part(variant, what), media_type=PDF, content=pdf_of(page, pages.style)) for what, page in made
        ]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """All papers, and apart from them all keys, so that nobody hands out both by mistake."""
        wanted = wanted_of(job.payload)
        files: list[JobFile] = []
        ranges: dict[str, Mapping[str, tuple[int, int]]] = {}
        for what in _WHATS:
            parts = [(variant, file(_part(variant, what))) for variant in wanted.variants]
            if not all(content for _, content in parts):
                raise PrintError(Problem(path="parts", problem="one is no longer there; ask for the print once more"))
            made, pages = _put_together(wanted, what, parts)
            files.append(made)
            ranges[what] = pages
        return Outcome(files=tuple(files), result={"pages": ranges})

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return "paper.print", "paper", wanted_of(job.payload).paper_id


def _part(variant: int, what: str) -> str:
    return f"part-{variant:04}-{what}.pdf"


def _put_together(
    wanted: Wanted, what: str, parts: Sequence[tuple[int, bytes]]
) -> tuple[JobFile, Mapping[str, tuple[int, int]]]:
    if len(parts) == 1:
        number, content = parts[0]
        _, pages = joined([(str(number), content)])
        return JobFile(name=f"variant-{number}-{what}.pdf", media_type=PDF, content=content), pages
    name = f"variants-{parts[0][0]}-to-{parts[-1][0]}-{what}s"
    content, pages = joined([(str(number), content) for number, content in parts])
    if wanted.together:
        return JobFile(name=f"{name}.pdf", media_type=PDF, content=content), pages
    return JobFile(name=f"{name}.zip", media_type=ZIP, content=_zipped(what, parts)), pages


def _zipped(what: str, parts: Sequence[tuple[int, bytes]]) -> bytes:
    held = io.BytesIO()
    # PDFs are compressed inside.
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as archive:
        for number, content in parts:
            archive.writestr(zipfile.ZipInfo(f"variant-{number:03}-{what}.pdf", _LONG_AGO), content)
    return held.getvalue()
