"""Whether whoever asked for a file may still have it: asked again at the moment of taking."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from trainer.domain.errors import TrainerError
from trainer.services.jobs.records import Job
from trainer.services.people.here import Here
from trainer.web.files.kinds import FILE_KINDS, MARKS, RECORD


def kinds_of(me: Here) -> tuple[str, ...]:
    """The kinds that a role of the member may ask for and take."""
    return tuple(name for name, kind in FILE_KINDS.items() if me.is_any(*kind.roles))


def may_take(me: Here, job: Job) -> bool:
    """True while the member who asked has the role for the kind, and still sees what the file is about."""
    if job.asked_by != me.person_id or job.kind not in kinds_of(me):
        return False
    about = _ABOUT.get(job.kind)
    try:
        return about is None or about(me, job)
    except TrainerError:
        # The page of it would refuse as well.
        return False


def _sees_paper(me: Here, job: Job) -> bool:
    from trainer.services.papers.desk import PaperDesk  # noqa: PLC0415 - only where there is such a file
    from trainer.web.papers.blueprint import desk  # noqa: PLC0415 - the pages of papers load this package

    desk(PaperDesk).paper(me, str(job.payload.get("paper_id")))
    return True


def _sees_record(me: Here, job: Job) -> bool:
    from trainer.services.programmes.training_records import RecordsDesk  # noqa: PLC0415 - see above
    from trainer.web.programmes.wired import programmes  # noqa: PLC0415 - see above

    return programmes(RecordsDesk).get(me, str(job.payload.get("record_id"))).revoked_at is None


# The other kinds are about the whole organisation: the role decides.
_ABOUT: Mapping[str, Callable[[Here, Job], bool]] = {MARKS: _sees_paper, RECORD: _sees_record}
