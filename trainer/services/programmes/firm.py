"""What the firm as a whole is asked for: who was assessed under which edition, and evidence to take away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.vocabulary import Edition
from trainer.services.people.here import Here
from trainer.services.programmes.desk import ProgrammesBase, places
from trainer.services.programmes.records import AskedLine, AssignedLine, Filter, Programme, TrainingRecord
from trainer.services.programmes.storage import Place
from trainer.services.programmes.words import ProgrammeState

PAGE = 50
MOST_RECORDS = 2000
"""In one evidence pack; narrow it by site or role for more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AssessedUnder:
    """People last assessed under an edition in programmes that its changes touch, one more than a page holds."""

    lines: Sequence[AssignedLine]
    programmes: Mapping[str, Programme]
    counts: Mapping[str, int]
    sites: Mapping[str, str]
    work: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """A page of the records in force and what was asked for each; ``after`` is where the next page begins."""

    records: Sequence[TrainingRecord]
    asked: Sequence[AskedLine]
    after: Place | None


class FirmDesk(ProgrammesBase):
    """The use cases of the firm as a whole."""

    def assessed_under(
        self, here: Here, edition: Edition, touched: frozenset[str], after: Place | None
    ) -> AssessedUnder:
        """Who was last assessed under an edition, in running programmes that want what was touched."""
        with self.storage.reading() as stored:
            concerned = {
                each.id: each
                for each in stored.programmes.all(here.organisation_id)
                if each.state is ProgrammeState.ACTIVE and _wants(each, touched)
            }
            sites, work = places(stored, here.organisation_id)
            return AssessedUnder(
                lines=stored.assignments.assessed_under(
                    here.organisation_id, edition.value, list(concerned), after, PAGE + 1
                ),
                programmes=concerned,
                counts=stored.assignments.count_under(here.organisation_id, list(concerned)),
                sites=sites,
                work=work,
            )

    def in_force(self, here: Here, chosen: Filter) -> int:
        """How many records are in force."""
        with self.storage.reading() as stored:
            return stored.records.count(here.organisation_id, chosen, in_force_on=self.today())

    def evidence(self, here: Here, chosen: Filter, after: Place | None, limit: int) -> Evidence:
        """A page of the records in force, and what was asked for them; no answers and nothing else of anybody."""
        with self.storage.reading() as stored:
            records = stored.records.page(here.organisation_id, chosen, after, limit, in_force_on=self.today())
            asked = stored.refreshers.asked([each.sitting_id for each in records if each.sitting_id])
        last = records[-1] if len(records) == limit else None
        place = ((last.valid_until or last.issued_at).isoformat(), last.id) if last else None
        return Evidence(records=records, asked=asked, after=place)

    def note_export(self, here: Here, what: str) -> None:
        """Notes that somebody took data away."""
        with self.storage.writing() as stored:
            stored.audit.append(
                self.event(here.actor, "programme.exported", here.organisation_id, here.organisation_id, what=what)
            )


def _wants(programme: Programme, touched: frozenset[str]) -> bool:
    return any(touched & set(names) for names in programme.objectives.values())
