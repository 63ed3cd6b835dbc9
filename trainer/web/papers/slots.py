"""The form of a blueprint: one block of fields for each slot, read without script, kept as it was filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flask_babel import gettext
from werkzeug.datastructures import MultiDict

from trainer.domain.errors import Problem
from trainer.domain.tasks import TaskKind
from trainer.services.papers.blueprint import MOST_ITEMS, Blueprint, Slot

_LONGEST = 80
OBJECTIVES_SHOWN = 3
_SEEDS = ","


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotFields:
    """The fields of one slot as texts."""

    kind: str = TaskKind.CHOOSE.value
    level: str = "2"
    objectives: tuple[str, ...] = ()
    archetype: str = ""
    family: str = ""
    count: str = "1"
    marks: str = "10"
    pinned: str = ""
    problems: tuple[str, ...] = ()

    @property
    def shown_objectives(self) -> tuple[str, ...]:
        """As many places for objectives as are shown: those chosen, the rest empty."""
        places = max(OBJECTIVES_SHOWN, len(self.objectives))
        return (*self.objectives, *("" for _ in range(places - len(self.objectives))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A blueprint's form as it was filled; ``above`` are problems that belong to no slot."""

    slots: tuple[SlotFields, ...]
    barred: str = ""
    above: tuple[str, ...] = ()


def filled_from(blueprint: Blueprint) -> Filled:
    """The form of a blueprint that is stored."""
    slots = tuple(
        SlotFields(
            kind=each.kind.value,
            level=str(each.level),
            objectives=each.objectives,
            archetype=each.archetype or "",
            family=each.family or "",
            count=str(each.count),
            marks=str(each.marks),
            pinned=_SEEDS.join(map(str, each.pinned_seeds)),
        )
        for each in blueprint.slots
    )
    return Filled(slots=slots, barred=_SEEDS.join(map(str, blueprint.barred_seeds)))


def read(form: MultiDict[str, str]) -> Filled:
    """The form as it was sent."""
    number = _number(form.get("slots", "")) or 0
    slots = tuple(_read(form, f"slot-{each}-") for each in range(1, min(number, MOST_ITEMS) + 1))
    return Filled(slots=slots, barred=form.get("barred", ""))


def _read(form: MultiDict[str, str], prefix: str) -> SlotFields:
    def text(name: str) -> str:
        return form.get(prefix + name, "")[:_LONGEST].strip()

    chosen = dict.fromkeys(each[:_LONGEST] for each in form.getlist(prefix + "objective") if each)
    return SlotFields(
        kind=text("kind"),
        level=text("level"),
        objectives=tuple(chosen),
        archetype=text("archetype"),
        family=text("family"),
        count=text("count"),
        marks=text("marks"),
        # Seeds are long, and there may be one for each task of the slot.
        pinned=form.get(prefix + "pinned", ""),
    )


def changed(filled: Filled, action: str) -> Filled:
    """The form with a slot added, taken out, copied or moved up."""
    what, _, text = action.partition("-")
    place = (_number(text) or 0) - 1
    slots = list(filled.slots)
    if what == "add":
        slots.append(SlotFields())
    elif not 0 <= place < len(slots):
        return filled
    elif what == "remove":
        del slots[place]
    elif what == "copy":
        slots.insert(place + 1, replace(slots[place], pinned=""))
    elif what == "up" and place:
        slots[place - 1], slots[place] = slots[place], slots[place - 1]
    return replace(filled, slots=tuple(slots))


def blueprint_of(filled: Filled) -> tuple[Blueprint, Filled]:
    """The blueprint that was filled in, and the form with what is wrong with single fields."""
    slots: list[Slot] = []
    shown: list[SlotFields] = []
    for each in filled.slots:
        problems: list[str] = []
        slots.append(_slot(each, problems))
        shown.append(replace(each, problems=tuple(problems)))
    blueprint = Blueprint(slots=tuple(slots), barred_seeds=_seeds(filled.barred))
    return blueprint, replace(filled, slots=tuple(shown))


def _slot(fields: SlotFields, problems: list[str]) -> Slot:
    def whole(text: str, name: str) -> int:
        number = _number(text)
        if number is None:
            problems.append(gettext("%(name)s: write a whole number.", name=name))
        return number or 0

    kind = TaskKind(fields.kind) if fields.kind in list(TaskKind) else TaskKind.CHOOSE
    is_question = kind is TaskKind.QUESTION
    return Slot(
        kind=kind,
        level=whole(fields.level, gettext("Level")),
        objectives=fields.objectives,
        # The field of the other kind of task is not asked for, whatever stands in it.
        archetype=None if is_question else fields.archetype or None,
        family=fields.family or None if is_question else None,
        count=whole(fields.count, gettext("How many")),
        marks=whole(fields.marks, gettext("Marks for each")),
        pinned_seeds=_seeds(fields.pinned),
    )


def told(filled: Filled, problems: Sequence[Problem]) -> Filled:
    """The form with problems beside the slots that they name, the rest above it."""
    slots = list(filled.slots)
    above = list(filled.above)
    for problem in problems:
        head, _, _ = problem.path.partition(":")
        number = _number(head.removeprefix("part ").partition(".")[0]) if head.startswith("part ") else None
        if number is not None and 1 <= number <= len(slots):
            own = slots[number - 1]
            slots[number - 1] = replace(own, problems=(*own.problems, str(problem)))
        else:
            above.append(str(problem))
    return replace(filled, slots=tuple(slots), above=tuple(above))


def _seeds(text: str) -> tuple[int, ...]:
    return tuple(int(each) for each in text.split(_SEEDS) if each.isascii() and each.isdigit() and len(each) < 20)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None
