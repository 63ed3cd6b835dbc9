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
_AT_ONCE = 200


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
    """The records in force and what was asked for each of them."""

    records: Sequence[TrainingRecord]
    asked: Sequence[AskedLine]
    is_cut_off: bool


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

    def evidence(self, here: Here, chosen: Filter) -> Evidence:
        """The records in force, and what was asked for them; no answers and nothing else of anybody."""
        records: list[TrainingRecord] = []
        after: Place | None = None
        while len(records) <= MOST_RECORDS:
            with self.storage.reading() as stored:
                page = stored.records.page(here.organisation_id, chosen, after, _AT_ONCE, in_force_on=self.today())
            records += page
            if len(page) < _AT_ONCE:
                break
            last = page[-1]
            after = ((last.valid_until or last.issued_at).isoformat(), last.id)
        kept = records[:MOST_RECORDS]
        with self.storage.reading() as stored:
            asked = stored.refreshers.asked([each.sitting_id for each in kept if each.sitting_id])
        self.note_export(here, "evidence")
        return Evidence(records=kept, asked=asked, is_cut_off=len(records) > MOST_RECORDS)

    def note_export(self, here: Here, what: str) -> None:
        """Notes that somebody took data away."""
        with self.storage.writing() as stored:
            stored.audit.append(
                self.event(here.actor, "programme.exported", here.organisation_id, here.organisation_id, what=what)
            )


def _wants(programme: Programme, touched: frozenset[str]) -> bool:
    return any(touched & set(names) for names in programme.objectives.values())
