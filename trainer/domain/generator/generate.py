"""From a request to a proven task."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.answers.decisions import apply_edits
from trainer.domain.errors import Problem
from trainer.domain.generator.alternatives import keep_clear, settled_by_rounding
from trainer.domain.generator.choosing import offers_of
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.house import build_house, story
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.pack import pack_of
from trainer.domain.generator.plan import draw_archetype, draw_plan
from trainer.domain.generator.proof import faults, planted
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.request import GeneratorError, TaskRequest, checked
from trainer.domain.generator.sizing import NoCableError
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Key, Task
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

GENERATOR_VERSION = "1"
_TRIES = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A task with the reasons for which earlier draws of its seed were thrown away."""

    task: Task
    redraws: tuple[str, ...]


def generate(request: TaskRequest, data: ScenarioData, edition: Edition = DEFAULT_EDITION) -> Task:
    """The task of a seed: the same bytes on every machine for the same versions of generator and rules.

    *Raises* OutOfRangeError, UnknownNameError, GeneratorError.
    """
    return make(request, data, edition).task


def make(request: TaskRequest, data: ScenarioData, edition: Edition = DEFAULT_EDITION) -> Made:
    """The task of a seed, and what was redrawn on the way. *Raises* as ``generate`` does."""
    checked(request, data)
    redraws: list[str] = []
    for number in range(_TRIES):
        try:
            task = _Attempt(request, data, edition, number).task()
        except RedrawError as reason:
            redraws.append(str(reason))
        else:
            return Made(task=task, redraws=tuple(redraws))
    raise GeneratorError(
        Problem(
            path="seed",
            value=str(request.seed),
            problem=f"no scenario of level {request.level} in {_TRIES} draws; the last failed by {redraws[-1]}",
        )
    )


class RedrawError(Exception):
    """A draw that the proof refused; its text names the section and the reason."""


class _Attempt:
    """One draw of a scenario. The first has the seed's own streams, later ones streams with a number."""

    def __init__(self, request: TaskRequest, data: ScenarioData, edition: Edition, number: int) -> None:
        self.request = request
        self.data = data
        self.edition = edition
        self.number = number

    def draws_for(self, section: str) -> Draws:
        """The stream of one section, apart for each level and attempt."""
        name = section if self.number == 0 else f"{section}#{self.number}"
        return Draws(self.request.seed, f"{self.request.level}/{name}", GENERATOR_VERSION)

    def task(self) -> Task:
        """The task, proven. *Raises* RedrawError."""
        draft = self._draft()
        offers = offers_of(draft)
        self._keep_clear(draft, offers)
        house = draft.house()
        found = faults(house, self.edition)
        if found:
            raise RedrawError("proof: " + "; ".join(found))
        rounding = settled_by_rounding(house, offers, limits_for(self.edition))
        if rounding is not None:
            raise RedrawError(f"edge: {rounding}")
        traps = planted(draft, house, offers, self.edition, self.draws_for("traps"))
        if not any(trap.id == draft.plan.focus.id for trap in traps):
            raise RedrawError(f"traps: {draft.plan.focus.id} does not bite")
        return self._task(
            draft, offers, Key(intended={each.decision.id: each.intended for each in offers}, traps=traps)
        )

    def _draft(self) -> Draft:
        request = self.request
        stream = Draws(request.seed, f"{request.level}/archetype", GENERATOR_VERSION)
        archetype = draw_archetype(stream, request.level, request.archetype, self.data)
        plan = draw_plan(self.draws_for("plan"), request.level, archetype, self.data)
        try:
            return build_house(plan, self.data, self.draws_for, limits_for(self.edition))
        except NoCableError as error:
            raise RedrawError(f"circuits: {error}") from error

    def _keep_clear(self, draft: Draft, offers: tuple[Offer, ...]) -> None:
        try:
            keep_clear(draft, offers, limits_for(self.edition))
        except NoCableError as error:
            raise RedrawError(f"edge: {error}") from error

    def _task(self, draft: Draft, offers: tuple[Offer, ...], key: Key) -> Task:
        decisions = tuple(each.decision for each in offers)
        return Task(
            seed=self.request.seed,
            generator_version=GENERATOR_VERSION,
            rule_set_version=rule_set_version(),
            edition=self.edition,
            kind=self.request.kind,
            level=self.request.level,
            archetype=draft.plan.archetype.id,
            title=draft.title,
            story=story(draft, self.draws_for("story")),
            house=_opened(draft.house(), offers),
            pack=pack_of(draft, decisions),
            decisions=decisions,
            key=key,
            language=draft.data.language,
        )


def _opened(house: Installation, offers: tuple[Offer, ...]) -> Installation:
    """The house with the first option of every decision, so that nothing of the answer stays in it."""
    return apply_edits(house, [edit for each in offers for edit in each.decision.options[0].edits])
