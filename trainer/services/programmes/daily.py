"""Reminders of each day as a job of the runner: records that were earned first, then programme by programme."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.operation.audit import Actor
from trainer.services.programmes.refreshers import Refreshers
from trainer.services.programmes.reminding import Reminding

KIND: Final = "programmes.remind"
FROM_HOUR: Final = 6
"""In UTC: mail that comes at midnight wakes people."""

log = logging.getLogger("trainer.jobs")


def wanted_today(reminding: Reminding) -> tuple[Mapping[str, Any], int]:
    """What the job of a day is to do, and in how many parts: the programmes that run when it is asked for."""
    ids = [each.id for each in reminding.running()]
    return {"programmes": ids}, 1 + len(ids)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemindingOfTheDay:
    """The work of a day. A part that is done again sends nothing twice: each reminder is noted before it goes out."""

    reminding: Callable[[], Reminding]
    refreshers: Callable[[], Refreshers]

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """Gives the records that were earned, or sees to one programme; what was done stands in a file."""
        del file
        try:
            counts = self._part(job, number)
        except Exception:
            # One programme that cannot be seen to must not keep everybody else from being reminded.
            log.exception("part %s of job %s failed", number, job.id)
            counts = {"failed": 1}
        return [JobFile(name=_name(number), media_type="application/json", content=json.dumps(counts).encode())]

    def _part(self, job: Job, number: int) -> Mapping[str, int]:
        if number == 1:
            return {"records_given": self.refreshers().settle_all()}
        wanted, reminding = job.payload["programmes"][number - 2], self.reminding()
        programme = next((each for each in reminding.running() if each.id == wanted), None)
        if programme is None:
            return {}
        done = reminding.remind(programme, Actor(kind="job", id=job.id))
        return {"sent": done.sent, "on_pages_only": done.without_address, "failed": done.failed}

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """No files; the result says how many of each there were."""
        total = {"records_given": 0, "sent": 0, "on_pages_only": 0, "failed": 0}
        for number in range(1, job.progress_total + 1):
            for name, count in json.loads(file(_name(number)) or b"{}").items():
                total[name] += count
        return Outcome(files=(), result=total)

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return KIND, "reminders", job.id


def _name(number: int) -> str:
    return f"part-{number:04}.json"
