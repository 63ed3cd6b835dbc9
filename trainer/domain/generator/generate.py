"""From a request to a proven task."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.answers.decisions import apply_edits
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.generator.alternatives import settled_by_rounding
from trainer.domain.generator.asking import RedrawError, asked_of
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.house import build_house, story
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.pack import pack_of, with_remarks
from trainer.domain.generator.plan import Feasible, draw_focus, draw_plan, feasible_traps
from trainer.domain.generator.proof import planted
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.reading_load import ReadingLoadError, filling, words_to_read
from trainer.domain.generator.request import GeneratorError, TaskRequest, checked
from trainer.domain.generator.sizing import NoCableError
from trainer.domain.generator.trial import Trial
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Key, Sheet, Task
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

GENERATOR_VERSION = "3"
_TRIES = 40
_TRIES_WITH_ONE_FOCUS = 8
_MOST_CIRCUITS_MORE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A task, the trap that it was planned round, and why earlier draws of its seed were thrown away.

    ``trial`` is the house with the intended proposal in it as the rules judged it.
    """

    task: Task
    focus: str
    redraws: tuple[str, ...]
    trial: Trial


def generate(request: TaskRequest, data: ScenarioData, edition: Edition = DEFAULT_EDITION) -> Task:
    """The task of a seed: the same bytes on every machine for the same versions of generator and rules.

    *Raises* OutOfRangeError, UnknownNameError, GeneratorError.
    """
    return make(request, data, edition).task


def make(request: TaskRequest, data: ScenarioData, edition: Edition = DEFAULT_EDITION) -> Made:
    """The task of a seed, and what was redrawn on the way. *Raises* as ``generate`` does."""
    checked(request, data)
    check_version(request)
    feasible = feasible_traps(request.level, request.archetype, data)
    redraws: list[str] = []
    number = more = 0
    tried: set[int] = set()
    for _ in range(_TRIES):
        attempt = _Attempt(request, data, edition, feasible, number, more)
        try:
            task, trial = attempt.task()
        except ReadingLoadError as reason:
            redraws.append(f"reading: {reason}")
            tried.add(more)
            more += reason.step
            if more in tried or abs(more) > _MOST_CIRCUITS_MORE:
                number, more, tried = number + 1, 0, set()
        except RedrawError as reason:
            redraws.append(str(reason))
            number, more, tried = number + 1, 0, set()
        else:
            return Made(task=task, focus=attempt.focus.id, redraws=tuple(redraws), trial=trial)
    raise GeneratorError(
        Problem(
            path="seed",
            value=str(request.seed),
            problem=f"no scenario of level {request.level} in {_TRIES} draws; the last failed by {redraws[-1]}",
        )
    )


def check_version(request: TaskRequest) -> None:
    """Nothing where a seed belongs to this generator. *Raises* OlderSeedError."""
    given = request.generator_version
    if given not in (None, GENERATOR_VERSION):
        raise OlderSeedError(
            Problem(
                path="generator_version",
                value=str(given),
                problem=f"seed {request.seed} was given with that version; this program has version "
                f"{GENERATOR_VERSION} and makes another task of it. A stored task still opens and is marked as it "
                "was; or ask for the seed without a version and take what it gives today",
                possible=(GENERATOR_VERSION,),
            )
        )


class OlderSeedError(TrainerError):
    """A seed of another version of the generator."""


def first_focus(request: TaskRequest, data: ScenarioData) -> tuple[str, str]:
    """The trap and the premises that a seed tries first, by id; nothing is built for it."""
    feasible = feasible_traps(request.level, request.archetype, data)
    trap, archetype = draw_focus(_focus_draws(request, 0), feasible)
    return trap.id, archetype.id


def _focus_draws(request: TaskRequest, turn: int) -> Draws:
    return Draws(request.seed, f"{request.level}/focus#{turn}", GENERATOR_VERSION)


class _Attempt:
    """One draw of a scenario. The first has the seed's own streams, later ones streams with a number.

    ``more`` existing circuits than drawn bring the papers to their usual length.
    """

    def __init__(
        self,
        request: TaskRequest,
        data: ScenarioData,
        edition: Edition,
        feasible: tuple[Feasible, ...],
        number: int,
        more: int,
    ) -> None:
        self.request = request
        self.data = data
        self.edition = edition
        self.number = number
        self.more = more
        self.focus, self.archetype = draw_focus(self._focus_draws(), feasible)

    def draws_for(self, section: str) -> Draws:
        """The stream of one section, apart for each level and attempt."""
        name = section if self.number == 0 else f"{section}#{self.number}"
        return Draws(self.request.seed, f"{self.request.level}/{name}", GENERATOR_VERSION)

    def _focus_draws(self) -> Draws:
        """The stream of trap and premises; several attempts share it, so that no trap is rare because it is hard."""
        return _focus_draws(self.request, self.number // _TRIES_WITH_ONE_FOCUS)

    def task(self) -> tuple[Task, Trial]:
        """The task, proven, and its house as it was judged. *Raises* RedrawError, ReadingLoadError."""
        draft = self._draft()
        asked = asked_of(draft, self.draws_for("steps"), self.edition)
        offers, trial = asked.offers, asked.trial
        told = story(draft, self.draws_for("story"))
        papers = self._papers(draft, offers, told)
        traps = planted(draft, trial, offers, self.draws_for("traps"))
        if not self.focus.honest and not traps:
            raise RedrawError(f"traps: {self.focus.id} does not bite")
        rounding = settled_by_rounding(trial, offers)
        if rounding is not None:
            raise RedrawError(f"edge: {rounding}")
        intended = sorted((each.decision.id, each.intended) for each in offers)
        key = Key(intended=dict(intended), traps=traps)
        return self._task(draft, offers, key, told, papers), trial

    def _draft(self) -> Draft:
        request = self.request
        plan = draw_plan(self.draws_for("plan"), request.level, self.focus, self.archetype, self.data, self.more)
        try:
            return build_house(plan, self.data, self.draws_for, limits_for(self.edition))
        except NoCableError as error:
            raise RedrawError(f"circuits: {error}") from error

    def _papers(self, draft: Draft, offers: tuple[Offer, ...], told: str) -> tuple[Sheet, ...]:
        """The papers; with story and questions they are of the usual length. *Raises* ReadingLoadError."""
        decisions = tuple(each.decision for each in offers)
        pack = pack_of(draft, decisions)
        wanted = self.archetype.words.get(self.request.level)
        if wanted is None:
            return pack
        words = words_to_read((draft.title, told), pack, decisions)
        remarks = self.draws_for("remarks").shuffled(tuple(draft.data.sheets.texts["remarks"].values()))
        return with_remarks(pack, filling(words, wanted, remarks))

    def _task(self, draft: Draft, offers: tuple[Offer, ...], key: Key, told: str, papers: tuple[Sheet, ...]) -> Task:
        return Task(
            seed=self.request.seed,
            generator_version=GENERATOR_VERSION,
            rule_set_version=rule_set_version(),
            edition=self.edition,
            kind=self.request.kind,
            level=self.request.level,
            archetype=draft.plan.archetype.id,
            title=draft.title,
            story=told,
            house=_opened(draft.house(), offers),
            pack=papers,
            decisions=tuple(each.decision for each in offers),
            key=key,
            language=draft.data.language,
        )


def _opened(house: Installation, offers: tuple[Offer, ...]) -> Installation:
    """The house with the first option of every decision, so that nothing of the answer stays in it."""
    return apply_edits(house, [edit for each in offers for edit in each.decision.options[0].edits])
