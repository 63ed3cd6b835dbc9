"""The variants of a paper, drawn by the job runner while nobody waits."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence

from trainer.domain.errors import Problem
from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.jobs.asking import JobDesk
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.papers.making import ensure_variant
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperState
from trainer.web.files.inside import FileError, InApplication
from trainer.web.files.kinds import VARIANTS
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import wiring

_DRAWN_IN = (PaperState.LOCKED, PaperState.OPEN)
_LONGEST_ID = 43


def job_id_of(paper_id: str) -> str:
    """One job for each paper at a time."""
    return f"variants.{paper_id}"[:_LONGEST_ID]


def ask_for_variants(desk: JobDesk, paper: Paper, numbers: Sequence[int], asked_by: str) -> Job:
    """Asks for variants of a paper, unless they are being drawn from what it is drawn from now."""
    source = _drawn_from(paper)
    return desk.ask_once(
        job_id_of(paper.id),
        VARIANTS,
        {"paper_id": paper.id, "numbers": list(numbers), "drawn_from": source},
        len(numbers),
        organisation_id=paper.organisation_id,
        asked_by=asked_by,
        is_same=lambda job: job.payload.get("drawn_from") == source,
    )


class VariantDrawing(InApplication):
    """Draws one variant with each part; what is drawn already stays as it is."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """One variant, which goes where it belongs and is no file. *Raises* TrainerError."""
        del file
        variant = int(job.payload["numbers"][number - 1])
        with self._inside(job):
            wired = wiring()
            scopes = wired.storage.scopes(paper_repositories)
            with scopes.reading() as stored:
                paper = stored.papers.get(job.organisation_id or "", str(job.payload["paper_id"]))
            if paper is None or paper.state not in _DRAWN_IN or _drawn_from(paper) != job.payload["drawn_from"]:
                raise FileError(Problem(path="paper", problem="was taken back or is closed; nothing more is drawn"))
            ensure_variant(scopes, StoredForm(), wired.now(), paper, variant)
        return ()

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """Nothing to hand out."""
        del job, file
        return Outcome(files=())

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return "paper.variants", "paper", str(job.payload["paper_id"])


def _drawn_from(paper: Paper) -> str:
    """What the variants depend on; a hash, so that the key of the paper stands in no job."""
    return hashlib.sha256(f"{paper.blueprint_json} {paper.variant_key}".encode()).hexdigest()
