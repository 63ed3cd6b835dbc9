"""One variant of a paper as pages for printing: what the candidate gets, and the key apart from it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from flask import current_app, render_template
from markupsafe import Markup

from trainer.domain.asks.forms import Ask
from trainer.domain.errors import Problem
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Sheet
from trainer.domain.vocabulary import Edition
from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.papers.making import ensure_variant
from trainer.services.papers.records import Paper
from trainer.services.papers.variants import DrawnItem, read_back
from trainer.services.papers.words import PaperState
from trainer.services.rulebook.rules import rule_of
from trainer.services.scenarios import scenarios
from trainer.web.asked.figures import Figures, figures_of
from trainer.web.practice.drawings import open_drawing
from trainer.web.practice.groups import Group, groups_of
from trainer.web.practice.wired import translated_engine
from trainer.web.practice.writing import StoredForm
from trainer.web.printing.keys import KeyItem, key_item
from trainer.web.printing.pdf import PrintError
from trainer.web.wiring import wiring

_FOUND = "found"
_STYLES = ("print-paper.css",)
_DRAWN = "print-drawing.css"
_SVG = re.compile(r"<svg\b[^>]*>")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperItem:
    """One task as the candidate gets it. The task itself is not here, because it holds the key."""

    position: int
    marks: int
    kind: str
    level: int
    edition: str
    title: str
    story: str
    pack: tuple[Sheet, ...]
    found: tuple[str, ...]
    drawing: Markup | None
    waveforms: Mapping[str, object]
    groups: tuple[Group, ...]
    asks: tuple[Ask, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pages:
    """The two documents as HTML, and their style."""

    paper: str
    key: str
    style: str


def paper_pages(organisation_id: str, paper_id: str, variant: int) -> Pages:
    """A variant and its key as pages. *Raises* PrintError, BlueprintError."""
    paper, organisation, drawn = _drawn(organisation_id, paper_id, variant)
    items = [paper_item(each) for each in drawn]
    keys = [key_item(each) for each in drawn]
    about = {
        "paper": paper,
        "organisation": organisation,
        "variant": variant,
        "marks": sum(each.marks for each in items),
    }
    key = render_template(
        "printing/key.html",
        **about,
        edition=Edition(paper.edition),
        items=keys,
        misconceptions=scenarios().misconceptions,
        rules=_rules(keys),
    )
    return Pages(
        paper=_with_style(render_template("printing/paper.html", **about, items=items)),
        key=_with_style(key),
        style="".join(_read(name) for name in _STYLES),
    )


def paper_item(drawn: DrawnItem) -> PaperItem:
    """What the candidate gets of a task."""
    task, engine = drawn.task, translated_engine()
    figures = figures_of(task, engine) if task.asks else Figures(diagram=open_drawing(task, {}, engine), waveforms={})
    return PaperItem(
        position=drawn.position,
        marks=drawn.marks,
        kind=task.kind.value,
        level=task.level,
        edition=task.edition.value,
        title=task.title,
        story=task.story,
        pack=tuple(each for each in task.pack if each.id != _FOUND),
        found=tuple(note for each in task.pack if each.id == _FOUND for note in each.notes),
        drawing=figures.diagram.svg if figures.diagram else None,
        waveforms=figures.waveforms,
        groups=tuple(groups_of(task, [0] * len(task.decisions), engine.gettext)),
        asks=task.asks,
    )


def _drawn(organisation_id: str, paper_id: str, variant: int) -> tuple[Paper, str, Sequence[DrawnItem]]:
    """The paper and the tasks of a variant: those that stand ready, else drawn now and kept."""
    wired, form = wiring(), StoredForm()
    scopes = wired.storage.scopes(paper_repositories)
    with scopes.reading() as stored:
        paper = stored.papers.get(organisation_id, paper_id)
        organisation = stored.organisations.get(organisation_id)
    if paper is None or organisation is None:
        raise PrintError(Problem(path="paper", problem="is no longer there"))
    if paper.state is PaperState.DRAFT:
        raise PrintError(Problem(path="paper", problem="is a draft again, so its tasks may change; lock it first"))
    items = ensure_variant(scopes, form, wired.now(), paper, variant)
    with scopes.reading() as stored:
        kept = [stored.tasks.get(each.content_hash) for each in items]
    drawn = read_back(items, kept, form.read_task)
    return paper, organisation.name, drawn


def _rules(keys: Sequence[KeyItem]) -> Mapping[str, Rule]:
    """Every rule that the keys rest on, once, by its id."""
    named = sorted({each for key in keys for each in key.rules})
    return {each: rule_of(each) for each in named}


def _with_style(page: str) -> str:
    """The page, each drawing with its style inside: the printer draws it as a picture of its own."""
    inside = f"<style>{_read(_DRAWN)}</style>"
    return _SVG.sub(lambda found: found[0] + inside, page)


def _read(name: str) -> str:
    return Path(str(current_app.static_folder), name).read_text("utf-8")
