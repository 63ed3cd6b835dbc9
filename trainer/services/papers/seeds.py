"""Tasks that an organisation keeps in view: pinned for those who set papers, or barred from its papers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.generator.exercised import exercised
from trainer.services.answering import weights_of
from trainer.services.operation.audit import AuditEvent, Fact
from trainer.services.papers.blueprint import Blueprint, BlueprintError, Slot, read_blueprint
from trainer.services.papers.desk import PaperDesk, barred_in, sees_all
from trainer.services.papers.errors import PaperError
from trainer.services.papers.looking import Seen, Wanted, seen
from trainer.services.papers.records import MarkedSeed, Paper, PaperLine
from trainer.services.papers.setting import SettingDesk
from trainer.services.papers.words import PaperState, SeedMark
from trainer.services.people.here import Here
from trainer.services.scenarios import make_task
from trainer.services.storage import StoredTask

FREED = "freed"
MOST_MARKED = 500
NEW_SLOT = 0
_LONGEST_TITLE = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftLine:
    """A draft with its slots."""

    line: PaperLine
    slots: tuple[Slot, ...]


@dataclass(frozen=True, kw_only=True)
class SeedDesk(PaperDesk):
    """The use cases of tasks that were looked at."""

    def marked(self, here: Here) -> Sequence[MarkedSeed]:
        """What the organisation pinned and barred, newest first."""
        with self.storage.reading() as stored:
            return stored.seeds.of(here.organisation_id)

    def mark_of(self, here: Here, shown: Seen) -> MarkedSeed | None:
        """How the organisation marked a task, whatever the rules said of it then."""
        return next((each for each in self.marked(here) if _wanted(each) == _plain(shown)), None)

    def kept(self, here: Here, content_hash: str) -> Seen:
        """A marked task as it was when it was marked. *Raises* PaperError."""
        found = next((each for each in self.marked(here) if each.content_hash == content_hash), None)
        with self.storage.reading() as stored:
            task = stored.tasks.get(content_hash) if found else None
        if found is None or task is None:
            raise PaperError(Problem(path="task", problem="is not in the list of your organisation"))
        return seen(_wanted(found), self.form.read_task(task.content))

    def mark(self, here: Here, shown: Seen, mark: SeedMark) -> None:
        """Pins a task for the organisation, or bars it: its papers never draw that seed. *Raises* PaperError."""
        task = shown.task
        content_hash, content = self.form.write_task(task, weights_of(task))
        with self.storage.writing() as stored:
            stored.audit.hold()
            listed = {each.content_hash for each in stored.seeds.of(here.organisation_id)}
            if content_hash not in listed and len(listed) >= MOST_MARKED:
                problem = f"your organisation keeps {MOST_MARKED} tasks already; take some out of the list first"
                raise PaperError(Problem(path="list", problem=problem))
            stored.tasks.keep(StoredTask.of(task, content_hash, content, self.now()))
            stored.audit.append(self._about(here, content_hash, mark.value, facts_of(shown)))

    def free(self, here: Here, content_hash: str) -> None:
        """Takes a task out of the list. *Raises* PaperError."""
        with self.storage.writing() as stored:
            if all(each.content_hash != content_hash for each in stored.seeds.of(here.organisation_id)):
                raise PaperError(Problem(path="task", problem="is not in the list; load the page again"))
            stored.audit.append(self._about(here, content_hash, FREED, {}))

    def drafts(self, here: Here) -> Sequence[DraftLine]:
        """The drafts into which the member may put a task, each with its slots."""
        with self.storage.reading() as stored:
            found = stored.papers.all(here.organisation_id, seen_by=None if sees_all(here) else here.member_id)
        drafts = [each for each in found if each.paper.state is PaperState.DRAFT]
        return [DraftLine(line=each, slots=read_blueprint(each.paper.blueprint_json).slots) for each in drafts]

    def give(self, here: Here, shown: Seen, paper_id: str, slot: int, marks: int) -> Paper:
        """Gives everybody of a draft this task, in a slot of it or a new one. *Raises* BlueprintError, PaperError."""
        with self.storage.reading() as stored:
            barred = barred_in(stored, here.organisation_id)
        if shown.task.seed in barred:
            problem = "is barred in your organisation; take it out of the list first"
            raise PaperError(Problem(path="seed", value=str(shown.task.seed), problem=problem))
        setting = SettingDesk(storage=self.storage, form=self.form, now=self.now, new_id=self.new_id)
        paper = self.paper(here, paper_id)
        blueprint = put_into(read_blueprint(paper.blueprint_json), shown, slot, marks)
        return setting.set_blueprint(here, paper_id, paper.revision, blueprint)

    def _about(self, here: Here, content_hash: str, what: str, facts: Mapping[str, Fact]) -> AuditEvent:
        return AuditEvent(
            at=self.now(),
            actor=here.actor,
            action=f"seed.{what}",
            subject_kind="seed",
            subject_id=content_hash,
            organisation_id=here.organisation_id,
            facts=facts,
        )


def put_into(blueprint: Blueprint, shown: Seen, number: int, marks: int) -> Blueprint:
    """The blueprint with the task pinned in a slot, or in a new slot of its own. *Raises* BlueprintError."""
    free = replace(blueprint, barred_seeds=tuple(each for each in blueprint.barred_seeds if each != shown.task.seed))
    if number == NEW_SLOT:
        _check_new(free, shown)
        return replace(free, slots=(*free.slots, _slot_for(shown, marks)))
    if not 1 <= number <= len(free.slots):
        raise BlueprintError(Problem(path="slot", value=number, problem="the paper has no such part; load it again"))
    slot = free.slots[number - 1]
    problem = _against(slot, shown)
    if problem:
        raise BlueprintError(Problem(path=f"part {number}", value=str(shown.task.seed), problem=problem))
    slots = list(free.slots)
    slots[number - 1] = replace(slot, pinned_seeds=(*slot.pinned_seeds, shown.task.seed))
    return replace(free, slots=tuple(slots))


def _check_new(blueprint: Blueprint, shown: Seen) -> None:
    """*Raises* BlueprintError for a task that everybody gets already, as after a second press of the button."""
    for number, slot in enumerate(blueprint.slots, start=1):
        if slot.kind is shown.task.kind and shown.task.seed in slot.pinned_seeds and _makes(slot, shown):
            problem = f"everybody gets this task already, in part {number}"
            raise BlueprintError(Problem(path="seed", value=str(shown.task.seed), problem=problem))


def _slot_for(shown: Seen, marks: int) -> Slot:
    """A slot that makes exactly this task."""
    return Slot(
        kind=shown.task.kind,
        level=shown.request.level,
        archetype=shown.request.archetype,
        family=shown.request.family,
        marks=marks,
        pinned_seeds=(shown.task.seed,),
    )


def _against(slot: Slot, shown: Seen) -> str:
    """Why a slot cannot give this task; nothing where it can."""
    task = shown.task
    if slot.kind is not task.kind:
        return f"the part is of kind {slot.kind}, the task of kind {task.kind}; put it into a part of its own"
    if task.seed in slot.pinned_seeds:
        return "everybody gets this task in the part already"
    if len(slot.pinned_seeds) >= slot.count:
        return "every task of the part is pinned already; let it have one more, or put this one into a part of its own"
    missing = sorted(set(slot.objectives) - exercised(task))
    if missing:
        return f"the task does not exercise {' and '.join(missing)}, which the part is for; put it into one of its own"
    if not _makes(slot, shown):
        return (
            "level, premises or family of the part differ from what was looked at, so its number gives another task "
            "there; name the same in the part, or put this one into a part of its own"
        )
    return ""


def _makes(slot: Slot, shown: Seen) -> bool:
    """True where the slot makes the very task of the seed."""
    request = replace(shown.request, level=slot.level, archetype=slot.archetype, family=slot.family)
    try:
        return seen(shown.wanted, make_task(request)).fingerprint == shown.fingerprint
    except TrainerError:
        return False


def facts_of(shown: Seen) -> dict[str, Fact]:
    """What is kept of a task beside its content: what makes it again, as texts and whole numbers."""
    request = shown.request
    return {
        "seed": str(request.seed),
        "kind": request.kind.value,
        "level": request.level,
        "premises": request.archetype,
        "family": request.family,
        "generator": shown.task.generator_version,
        "title": shown.task.title[:_LONGEST_TITLE],
    }


def _wanted(marked: MarkedSeed) -> Wanted:
    return Wanted(
        kind=marked.kind,
        level=marked.level,
        seed=marked.seed,
        archetype=marked.archetype,
        family=marked.family,
        generator_version=marked.generator_version,
    )


def _plain(shown: Seen) -> Wanted:
    """What makes the shown task, without how it was looked for."""
    request = shown.request
    return Wanted(
        kind=request.kind,
        level=request.level,
        seed=request.seed,
        archetype=request.archetype,
        family=request.family,
        generator_version=shown.task.generator_version,
    )
