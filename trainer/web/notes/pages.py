"""The list of notes and the page of one."""

from __future__ import annotations

from dataclasses import dataclass

from flask import abort, render_template, request

from trainer.domain.asks.answers import told
from trainer.domain.errors import OutOfRangeError
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import TaskKind
from trainer.services.notes.examples import SEED_END, Examples, examples, families_of
from trainer.services.notes.gaps import NOT, RIGHT, Gap
from trainer.services.notes.reading import notes
from trainer.services.objectives import objectives
from trainer.services.scenarios import scenarios
from trainer.web.asked.figures import Figures
from trainer.web.levels import LEVELS
from trainer.web.notes.blueprint import blueprint
from trainer.web.notes.figures import figures_of_example, wave_of
from trainer.web.notes.subjects import SUBJECTS

_RULES = {each.id: each for each in ALL_RULES}
_LONGEST_GAP = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A gap as it was filled; ``right`` is None where nothing was said."""

    gap: Gap
    given: str
    right: bool | None


@blueprint.get("/notes")
def index() -> str:
    """All notes by subject."""
    return render_template("notes/index.html", subjects=SUBJECTS, notes=notes(), objectives=objectives())


@blueprint.get("/notes/<objective_id>")
def show(objective_id: str) -> str:
    """One note; the address names the seed of its examples and what was filled in."""
    note = notes().get(objective_id)
    if note is None:
        abort(404)
    seed = _seed(request.args.get("seed", "1"))
    try:
        made = examples(objective_id, seed)
    except OutOfRangeError:
        abort(404)
    filled = [_filled(each) for each in made.half.gaps]
    return render_template(
        "notes/page.html",
        note=note,
        title=objectives()[objective_id],
        seed=seed,
        next_seed=seed % (SEED_END - 1) + 1,
        examples=made,
        drawn=_drawn(made),
        filled={each.gap.id: each for each in filled},
        checked=any(each.right is not None for each in filled),
        all_right=all(each.right for each in filled),
        told=told,
        words={RIGHT: RIGHT, NOT: NOT},
        belief=scenarios().misconceptions[note.trap],
        rules=[_RULES[each] for each in note.rules],
        families=families_of(objective_id),
        levels=LEVELS,
        kind=TaskKind.CHOOSE.value,
        wave=wave_of(note),
    )


def _seed(text: str) -> int:
    if not text.isascii() or not text.isdigit():
        abort(404)
    return int(text[:9])


def _filled(gap: Gap) -> Filled:
    given = request.args.get(gap.id, "").strip()[:_LONGEST_GAP]
    return Filled(gap=gap, given=given, right=gap.takes(given) if given else None)


def _drawn(made: Examples) -> list[Figures]:
    """The drawings of the worked examples and of the half-worked one, in this order."""
    return [figures_of_example(each, number) for number, each in enumerate((*made.worked, made.half_from), 1)]
