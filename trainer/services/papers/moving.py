"""Taking a paper from state to state, and its variants made ready."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.errors import Problem
from trainer.domain.generator.generate import GENERATOR_VERSION
from trainer.domain.rules.version import rule_set_version
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.services.papers.blueprint import barring, pinned_though_barred, read_blueprint, write_blueprint
from trainer.services.papers.desk import PaperDesk, barred_in, replaced
from trainer.services.papers.errors import PaperError, PaperStateError
from trainer.services.papers.making import prepare, wanted_variants
from trainer.services.papers.records import Paper
from trainer.services.papers.states import moved
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.variants import trial_of
from trainer.services.papers.words import PaperMode, PaperState, SittingState
from trainer.services.people.here import Here
from trainer.services.people.secrets import new_join_code

_ON_THE_WAY = (SittingState.RUNNING, SittingState.PAUSED)


@dataclass(frozen=True, kw_only=True)
class MovingDesk(PaperDesk):
    """The use cases that take a paper on its way."""

    def new_code(self, here: Here, paper_id: str) -> Paper:
        """A new access code, to be read out. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        if paper.state not in (PaperState.DRAFT, PaperState.LOCKED, PaperState.OPEN):
            raise PaperStateError(Problem(path="state", value=paper.state, problem="nobody starts this paper any more"))
        with self.storage.writing() as stored:
            after = self.put(stored, paper, replaced(paper, access_code=new_join_code(), changed_at=self.now()))
            stored.audit.append(self.event(here.actor, "paper.code_made", after))
        return after

    def move(self, here: Here, paper_id: str, seen: int, to: PaperState) -> Paper:
        """Takes a paper to another state. *Raises* PaperStateError, PaperChangedError, BlueprintError, PaperError."""
        before = self.paper(here, paper_id)
        moved(before, to)
        if to is PaperState.LOCKED:
            self._check_whole(here, before)
        if to is PaperState.OPEN and before.state is PaperState.LOCKED:
            self._check_met(before)
        with self.storage.writing() as stored:
            after = self._stepped(stored, here, before, to)
            after = self.put(stored, replaced(before, revision=seen), replaced(after, changed_at=self.now()))
            if to is PaperState.DRAFT:
                stored.papers.drop_variants(paper_id)
            asked = to is PaperState.RELEASED and after.state is not PaperState.RELEASED
            action = "paper.release_asked" if asked else f"paper.{to.value}"
            stored.audit.append(
                self.event(here.actor, action, after, revision=after.revision, before=before.state.value)
            )
        return after

    def missing(self, here: Here, paper_id: str) -> tuple[Paper, tuple[int, ...]]:
        """The numbers of the variants that are still to be drawn; none where nobody draws. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        if paper.state not in (PaperState.LOCKED, PaperState.OPEN):
            return paper, ()
        with self.storage.reading() as stored:
            candidates = len(stored.papers.candidates(here.organisation_id, paper_id))
            known = set(stored.papers.variants(paper_id))
        wanted = wanted_variants(candidates, paper.attempts_allowed)
        return paper, tuple(each for each in range(1, wanted + 1) if each not in known)

    def prepare_all(self, here: Here, paper_id: str) -> int:
        """Draws every variant that is missing; takes about a second for each. *Raises* PaperError."""
        paper, numbers = self.missing(here, paper_id)
        return prepare(self.storage, self.form, self.now, paper, numbers)

    def _stepped(self, stored: PaperRepositories, here: Here, before: Paper, to: PaperState) -> Paper:
        """The paper after a step, once everything that the step needs is there."""
        lines = stored.sittings.lines(before.organisation_id, before.id)
        running = sum(each.state in _ON_THE_WAY for each in lines)
        if to is PaperState.DRAFT and lines:
            raise PaperStateError(
                _because("draft", f"begun already: {len(lines)}; nobody's paper is changed under them")
            )
        if to is PaperState.MODERATED:
            unmarked = sum(each.state is SittingState.HANDED_IN and each.grading_number is None for each in lines)
            if running or unmarked:
                raise PaperStateError(
                    _because("moderated", f"still being sat: {running}; not marked yet: {unmarked}; wait for them")
                )
        if to is PaperState.LOCKED:
            # A supervised paper is never started without a code, so it has one from here on.
            code = before.access_code or (new_join_code() if before.mode is PaperMode.SUPERVISED else None)
            # What is barred now stays barred in this paper, so that it can be drawn again as it was.
            drawn_from = barring(read_blueprint(before.blueprint_json), barred_in(stored, before.organisation_id))
            blueprint_json = write_blueprint(drawn_from)
            return replaced(moved(before, to), access_code=code, blueprint_json=blueprint_json, **versions())
        if to is PaperState.RELEASED:
            return self._released(stored, here, before)
        if to is PaperState.CLOSED and before.state is PaperState.MODERATED:
            return replaced(moved(before, to), release_asked_by=None, release_asked_at=None)
        if to is PaperState.OPEN and before.closes_at is not None and before.closes_at <= self.now():
            # Opened by hand after its end: the end has passed, so it holds no longer.
            return replaced(moved(before, to), closes_at=None)
        return moved(before, to)

    def _released(self, stored: PaperRepositories, here: Here, before: Paper) -> Paper:
        """Released, or, where a second person is asked for, asked by the first."""
        organisation = stored.organisations.get(before.organisation_id)
        second = organisation is not None and organisation.release_needs_second_person
        now = self.now()
        if second and before.release_asked_by is None:
            return replaced(before, release_asked_by=here.member_id, release_asked_at=now)
        if second and before.release_asked_by == here.member_id:
            problem = "you asked for the release; somebody else of the staff who sees this paper confirms it"
            raise PaperStateError(_because("released", problem))
        return replaced(moved(before, PaperState.RELEASED), released_by=here.member_id, released_at=now)

    def _check_whole(self, here: Here, paper: Paper) -> None:
        """*Raises* PaperError where something is missing that everybody's paper needs."""
        problems: list[Problem] = []
        blueprint = self.drawn_from(paper)
        if not blueprint.slots:
            problems.append(Problem(path="blueprint", problem="the paper has no tasks yet; add a part"))
        with self.storage.reading() as stored:
            if not stored.papers.groups_of(here.organisation_id, paper.id):
                problems.append(Problem(path="groups", problem="no group sits the paper yet; choose one"))
        problems += pinned_though_barred(blueprint)
        # What only the runner can tell does not hold the page up: its job names the slot if none is found.
        problems += trial_of(blueprint, paper.variant_key).problems
        if problems:
            raise PaperError(*problems)

    def _check_met(self, paper: Paper) -> None:
        """*Raises* PaperError where a part was not met yet: whoever started would be told so instead of a paper."""
        with self.storage.reading() as stored:
            if stored.papers.variants(paper.id):
                return
        rare = trial_of(self.drawn_from(paper), paper.variant_key).rare
        if rare:
            problem = (
                "no task was found for it yet; wait until the job runner has drawn the variants. If it finds none, "
                "take the paper back to a draft and ask for fewer objectives at a time"
            )
            raise PaperError(*(Problem(path=f"part {number}", problem=problem) for number in rare))


def _because(state: str, problem: str) -> Problem:
    return Problem(path="state", value=state, problem=problem)


def versions() -> dict[str, str]:
    """The edition and versions that a paper is drawn and marked under now."""
    return {
        "edition": DEFAULT_EDITION.value,
        "generator_version": GENERATOR_VERSION,
        "rule_set_version": rule_set_version(),
    }
