"""Clearing what is older than it may be, each day, as a job of the runner."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.operation.audit import Actor
from trainer.services.privacy.retention import Retention

KIND: Final = "retention.clear"
_CLEARED = "cleared.json"


@dataclass(frozen=True, slots=True)
class Clearing:
    """The work of a day: one part, which goes on where an interrupted one stopped."""

    retention: Callable[[], Retention]

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """Clears what is due; what was cleared stands in a file until it goes into the result."""
        del number, file
        cleared = self.retention().clear(Actor(kind="job", id=job.id))
        lines = [
            {"kind": each.kind.value, "organisation": each.organisation_id, "days": each.days, "rows": each.rows}
            for each in cleared
        ]
        return [JobFile(name=_CLEARED, media_type="application/json", content=json.dumps(lines).encode())]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """No files; the result says what was cleared."""
        del job
        return Outcome(files=(), result={"cleared": json.loads(file(_CLEARED) or b"[]")})

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return KIND, "retention", job.id
