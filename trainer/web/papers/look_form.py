"""The form in which a task to look at is asked for; everything of it stands in the address."""

from __future__ import annotations

from dataclasses import dataclass

from flask import url_for
from flask_babel import gettext
from werkzeug.datastructures import MultiDict

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.tasks import TaskKind
from trainer.services.papers.blueprint import Slot
from trainer.services.papers.looking import MOST_OBJECTIVES, Wanted, asked
from trainer.services.papers.variants import DrawnItem

_SEED_DIGITS = 19
_FIELDS = ("kind", "level", "archetype", "family", "seed", "version")


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """The form as it was sent; every value is a text."""

    kind: str = TaskKind.CHOOSE.value
    level: str = "2"
    objectives: tuple[str, ...] = ()
    archetype: str = ""
    family: str = ""
    seed: str = ""
    version: str = ""

    @property
    def shown_objectives(self) -> tuple[str, ...]:
        """As many places for objectives as are shown: those chosen, the rest empty."""
        return (*self.objectives, *("" for _ in range(MOST_OBJECTIVES - len(self.objectives))))


def read(form: MultiDict[str, str]) -> Filled:
    """The form as it was sent."""
    texts = {name: form.get(name, "")[:80].strip() for name in _FIELDS}
    chosen = tuple(dict.fromkeys(each[:80] for each in form.getlist("objective") if each))[:MOST_OBJECTIVES]
    usual = Filled()
    return Filled(
        **{**texts, "kind": texts["kind"] or usual.kind, "level": texts["level"] or usual.level}, objectives=chosen
    )


def wanted_of(filled: Filled) -> Wanted:
    """What was asked for. *Raises* TrainerError for what is no number or no kind."""
    kind = TaskKind(filled.kind) if filled.kind in list(TaskKind) else TaskKind.CHOOSE
    return asked(
        Wanted(
            kind=kind,
            level=whole(filled.level),
            seed=_seed(filled.seed),
            objectives=filled.objectives,
            archetype=filled.archetype or None,
            family=filled.family or None,
            generator_version=filled.version or None,
        )
    )


def _seed(text: str) -> int:
    """The seed. *Raises* TrainerError."""
    if text.isascii() and text.isdigit() and len(text) <= _SEED_DIGITS:
        return int(text)
    raise TrainerError(
        Problem(path="seed", value=text[:40], problem=gettext("write a whole number, or leave it empty"))
    )


def filled_of(wanted: Wanted) -> Filled:
    """The form that asks for the same."""
    return Filled(
        kind=wanted.kind.value,
        level=str(wanted.level),
        archetype=wanted.archetype or "",
        family=wanted.family or "",
        seed=str(wanted.seed),
        version=wanted.generator_version or "",
    )


def address_of(filled: Filled) -> str:
    """Where the page of it is."""
    values = {name: getattr(filled, name) for name in _FIELDS if getattr(filled, name)}
    return url_for("papers.look_at", **values, objective=list(filled.objectives))


def whole(text: str) -> int:
    """A small whole number, or 0."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def address_of_item(item: DrawnItem, slot: Slot) -> str:
    """Where a task of a paper is looked at by itself; what is not pinned was drawn with premises or family named."""
    is_question = item.task.kind is TaskKind.QUESTION
    is_pinned = item.seed in slot.pinned_seeds
    drawn = "" if is_pinned else item.task.archetype
    return address_of(
        Filled(
            kind=item.task.kind.value,
            level=str(slot.level),
            archetype="" if is_question else slot.archetype or drawn,
            family=(slot.family or drawn) if is_question else "",
            seed=str(item.seed),
            version=item.task.generator_version,
        )
    )
