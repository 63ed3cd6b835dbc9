"""A learner's own results as PDF: what was practised, what was sat and passed, objective by objective."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from flask import render_template

from trainer.persistence.people.repositories import people_repositories
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.objectives import objectives
from trainer.services.papers.counting import passed_with
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here
from trainer.services.plan.plan import PlanNow
from trainer.services.programmes.records import TrainingRecord
from trainer.services.programmes.training_records import RecordsDesk, is_in_force
from trainer.services.sittings.results import Result, Results
from trainer.services.sittings.starting import Starting
from trainer.web.files.inside import InApplication, here_of_job
from trainer.web.files.tables import PDF_TYPE, taken_over
from trainer.web.notes.subjects import SUBJECTS
from trainer.web.plan.wired import planning
from trainer.web.printing import pdf
from trainer.web.programmes.wired import programmes
from trainer.web.records.paper import stylesheet
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import wiring

NAME = "results.pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sat:
    """A paper with released marks."""

    organisation: str
    title: str
    handed_in_at: datetime | None
    marks: int
    available: int
    has_passed: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """Everything that goes into the file."""

    name: str
    plan: PlanNow
    sat: tuple[Sat, ...]
    records: tuple[tuple[TrainingRecord, bool], ...]

    @property
    def passed_in(self) -> Mapping[str, TrainingRecord]:
        """For each objective the newest record in force that asked for it."""
        found: dict[str, TrainingRecord] = {}
        for record, in_force in self.records:
            for name in record.objectives if in_force else ():
                found.setdefault(name, record)
        return found


class ResultsPdf(InApplication):
    """The results of one learner."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """The file. *Raises* TrainerError."""
        del number, file
        with self._inside(job):
            page = render_template(
                "files/results_paper.html",
                own=own_results(job),
                on=wiring().now(),
                subjects=SUBJECTS,
                objectives=objectives(),
            )
            content = pdf.pdf_of(page, stylesheet())
        return [JobFile(name=f"part-{NAME}", media_type=PDF_TYPE, content=content)]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """The file under its own name."""
        del job
        return taken_over(NAME, file)

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain; whose results they are stands nowhere in it."""
        return "results.pdf", "job", job.id


def own_results(job: Job) -> Own:
    """What the learner who asked has practised and passed, in every organisation of theirs."""
    joined = [here_of_job(job, organisation_id) for organisation_id in _organisations(job.asked_by)]
    desk = programmes(RecordsDesk)
    records = [each for here in joined for each in desk.of_member(here, here.member_id)]
    return Own(
        name=_name(job.asked_by),
        plan=planning().plan(str(job.payload.get("learner_id"))),
        sat=tuple(each for here in joined for each in _sat(here)),
        records=tuple(
            (each, is_in_force(each, desk.today())) for each in sorted(records, key=lambda one: one.issued_at)[::-1]
        ),
    )


def _sat(here: Here) -> Sequence[Sat]:
    lines = sitting_desk(Starting).mine(here)
    told = [(line, sitting) for line in lines for sitting in line.sittings if sitting.id in line.told]
    found = []
    for line, sitting in told:
        if sitting.state is SittingState.HANDED_IN:
            found.append(_line(here, line.paper.title, sitting_desk(Results).result(here, sitting.id)))
    return found


def _line(here: Here, title: str, result: Result) -> Sat:
    marks, available = result.marks
    safe, paper = result.sitting.safe_to_energise, result.paper
    return Sat(
        organisation=here.organisation_name,
        title=title,
        handed_in_at=result.sitting.handed_in_at,
        marks=marks,
        available=available,
        has_passed=passed_with(paper, marks, available, is_safe=safe) if paper else None,
    )


def _organisations(person_id: str | None) -> Sequence[str]:
    if person_id is None:
        return ()
    with wiring().storage.scopes(people_repositories).reading() as stored:
        return [each.organisation_id for each in stored.members.of_person(person_id)]


def _name(person_id: str | None) -> str:
    if person_id is None:
        return ""
    with wiring().storage.scopes(people_repositories).reading() as stored:
        person = stored.people.get(person_id)
    return person.display_name if person else ""
