"""Setting a paper: made, edited, looked at variant by variant."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.services.papers.blueprint import (
    Blueprint,
    BlueprintError,
    pinned_though_barred,
    problems_of,
    read_blueprint,
    write_blueprint,
)
from trainer.services.papers.desk import PaperDesk, replaced, sees_all
from trainer.services.papers.errors import PaperError
from trainer.services.papers.making import wanted_variants
from trainer.services.papers.moving import versions
from trainer.services.papers.records import Candidate, Paper, PaperLine
from trainer.services.papers.settings import PaperSettings, with_settings
from trainer.services.papers.states import check_editable
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.variants import DrawnItem, Trial, draw_items, read_back, trial_of
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy, SittingState
from trainer.services.people.here import Here
from trainer.services.people.records import GroupSize


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperView:
    """A paper with what its page shows."""

    paper: Paper
    blueprint: Blueprint
    groups: tuple[GroupSize, ...]
    candidates: tuple[Candidate, ...]
    variants_drawn: int
    variants_wanted: int
    started: int
    handed_in: int


@dataclass(frozen=True, kw_only=True)
class SettingDesk(PaperDesk):
    """The use cases of setting a paper."""

    def all(self, here: Here) -> Sequence[PaperLine]:
        """The papers that the member may act on, newest first."""
        self.tick(here.organisation_id)
        with self.storage.reading() as stored:
            return stored.papers.all(here.organisation_id, seen_by=None if sees_all(here) else here.member_id)

    def notes_waiting(self, here: Here) -> Mapping[str, int]:
        """By paper how many notes on its marks nobody has answered yet."""
        with self.storage.reading() as stored:
            return stored.appeals.waiting(here.organisation_id)

    def groups(self, here: Here) -> tuple[GroupSize, ...]:
        """The groups that the member may set a paper for."""
        with self.storage.reading() as stored:
            taught_by = None if sees_all(here) else here.member_id
            found = stored.groups.all(here.organisation_id, taught_by=taught_by)
        return tuple(each for each in found if each.group.archived_at is None)

    def make(self, here: Here, settings: PaperSettings, group_ids: Collection[str] = ()) -> Paper:
        """A new draft. *Raises* PaperError."""
        bare = _blank(here, self.new_id(), self.new_id(), self.now())
        paper = with_settings(bare, settings)
        chosen = self._checked_groups(here, group_ids, ())
        with self.storage.writing() as stored:
            stored.papers.add(paper)
            stored.papers.set_groups(here.organisation_id, paper.id, chosen)
            stored.audit.append(self.event(here.actor, "paper.made", paper, groups=len(chosen)))
        return paper

    def view(self, here: Here, paper_id: str) -> PaperView:
        """A paper with what its page shows. *Raises* PaperError, BlueprintError."""
        paper = self.paper(here, paper_id)
        with self.storage.reading() as stored:
            chosen = set(stored.papers.groups_of(here.organisation_id, paper_id))
            groups = [each for each in stored.groups.all(here.organisation_id) if each.group.id in chosen]
            candidates = tuple(stored.papers.candidates(here.organisation_id, paper_id))
            drawn = len(stored.papers.variants(paper_id))
            sittings = stored.sittings.lines(here.organisation_id, paper_id)
        return PaperView(
            paper=paper,
            blueprint=read_blueprint(paper.blueprint_json),
            groups=tuple(groups),
            candidates=candidates,
            variants_drawn=drawn,
            variants_wanted=wanted_variants(len(candidates), paper.attempts_allowed),
            started=len(sittings),
            handed_in=sum(each.state is SittingState.HANDED_IN for each in sittings),
        )

    def change(
        self, here: Here, paper_id: str, seen: int, settings: PaperSettings, group_ids: Collection[str]
    ) -> Paper:
        """Other settings and groups, if nobody changed the paper since revision ``seen``.

        *Raises* PaperError, PaperStateError, PaperChangedError.
        """
        before = self.paper(here, paper_id)
        check_editable(before)
        with self.storage.writing() as stored:
            now_set = stored.papers.groups_of(here.organisation_id, paper_id)
            chosen = self._checked_groups(here, group_ids, now_set, stored)
            after = replaced(with_settings(before, settings), changed_at=self.now())
            after = self.put(stored, replaced(before, revision=seen), after)
            stored.papers.set_groups(here.organisation_id, paper_id, chosen)
            facts = {"revision": after.revision, "groups": len(chosen)}
            stored.audit.append(self.event(here.actor, "paper.changed", after, **facts))
        return after

    def set_blueprint(self, here: Here, paper_id: str, seen: int, blueprint: Blueprint) -> Paper:
        """Another blueprint. *Raises* BlueprintError, PaperStateError, PaperChangedError."""
        problems = problems_of(blueprint)
        if problems:
            raise BlueprintError(*problems)
        before = self.paper(here, paper_id)
        check_editable(before)
        after = replaced(before, blueprint_json=write_blueprint(blueprint), changed_at=self.now())
        with self.storage.writing() as stored:
            after = self.put(stored, replaced(before, revision=seen), after)
            facts = {"revision": after.revision, "items": blueprint.items, "marks": blueprint.marks}
            stored.audit.append(self.event(here.actor, "paper.blueprint_changed", after, **facts))
        return after

    def trial(self, here: Here, paper_id: str) -> Trial:
        """What stands against drawing the paper, each problem with its slot, and what is too rare to tell at once."""
        paper = self.paper(here, paper_id)
        blueprint = self.drawn_from(paper)
        tried = trial_of(blueprint, paper.variant_key)
        return replace(tried, problems=(*pinned_though_barred(blueprint), *tried.problems))

    def mark_seed(self, here: Here, paper_id: str, number: int, position: int, *, pinned: bool) -> Paper:
        """Gives everybody the task that a variant has at a position, or bars it. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        check_editable(paper)
        blueprint = read_blueprint(paper.blueprint_json)
        item = self._item(paper, number, position)
        if pinned:
            blueprint = _pinned(blueprint, item)
        elif item.seed not in blueprint.barred_seeds:
            blueprint = _unpinned(blueprint, item.seed)
            blueprint = replace(blueprint, barred_seeds=(*blueprint.barred_seeds, item.seed))
        return self.set_blueprint(here, paper_id, paper.revision, blueprint)

    def unmark_seeds(self, here: Here, paper_id: str) -> Paper:
        """Takes back every pin and bar. *Raises* PaperError."""
        paper = self.paper(here, paper_id)
        blueprint = read_blueprint(paper.blueprint_json)
        free = Blueprint(slots=tuple(replace(each, pinned_seeds=()) for each in blueprint.slots))
        return self.set_blueprint(here, paper_id, paper.revision, free)

    def draw(self, here: Here, paper_id: str, number: int) -> tuple[DrawnItem, ...]:
        """A variant to look at: as it was made ready, else as it would be drawn. *Raises* BlueprintError."""
        paper = self.paper(here, paper_id)
        with self.storage.reading() as stored:
            items = stored.papers.variant(paper_id, number)
            kept = [stored.tasks.get(each.content_hash) for each in items]
        if items:
            return tuple(read_back(items, kept, self.form.read_task))
        return draw_items(self.drawn_from(paper), paper.variant_key, number)

    def _item(self, paper: Paper, number: int, position: int) -> DrawnItem:
        items = draw_items(self.drawn_from(paper), paper.variant_key, number)
        found = next((each for each in items if each.position == position), None)
        if found is None:
            raise PaperError(Problem(path="position", value=position, problem="the paper has no such task"))
        return found

    def _checked_groups(
        self, here: Here, group_ids: Collection[str], now_set: Collection[str], stored: PaperRepositories | None = None
    ) -> set[str]:
        """The groups that are to sit it; those of others that sit it already stay. *Raises* PaperError."""
        own = {each.group.id for each in self.groups(here)} if stored is None else _own(stored, here)
        strange = set(group_ids) - own - set(now_set)
        if strange:
            raise PaperError(Problem(path="group_ids", problem="is not one of your groups"))
        return set(group_ids) | (set(now_set) - own)


def _own(stored: PaperRepositories, here: Here) -> set[str]:
    taught_by = None if sees_all(here) else here.member_id
    return {each.group.id for each in stored.groups.all(here.organisation_id, taught_by=taught_by)}


def _pinned(blueprint: Blueprint, item: DrawnItem) -> Blueprint:
    """The slot of the item with its seed for everybody, put before what is drawn."""
    slots = list(blueprint.slots)
    slot = slots[item.slot - 1]
    if item.seed not in slot.pinned_seeds:
        if len(slot.pinned_seeds) >= slot.count:
            raise PaperError(Problem(path=f"part {item.slot}", problem="every task of the part is pinned already"))
        slots[item.slot - 1] = replace(slot, pinned_seeds=(*slot.pinned_seeds, item.seed))
    return replace(blueprint, slots=tuple(slots))


def _unpinned(blueprint: Blueprint, seed: int) -> Blueprint:
    slots = [replace(s, pinned_seeds=tuple(each for each in s.pinned_seeds if each != seed)) for s in blueprint.slots]
    return replace(blueprint, slots=tuple(slots))


def _blank(here: Here, paper_id: str, key: str, now: datetime) -> Paper:
    """A draft with nothing in it yet."""
    made_with = versions()
    return Paper(
        id=paper_id,
        organisation_id=here.organisation_id,
        title="",
        state=PaperState.DRAFT,
        revision=1,
        blueprint_json=write_blueprint(Blueprint()),
        mode=PaperMode.GRADED,
        opens_at=None,
        closes_at=None,
        time_limit_s=None,
        attempts_allowed=1,
        access_code=None,
        pass_percent=None,
        critical_errors_fail=False,
        release_policy=ReleasePolicy.BY_HAND,
        release_at=None,
        variant_key=key,
        edition=made_with["edition"],
        generator_version=made_with["generator_version"],
        rule_set_version=made_with["rule_set_version"],
        made_by=here.member_id,
        created_at=now,
        changed_at=now,
    )
