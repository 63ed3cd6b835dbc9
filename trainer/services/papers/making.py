"""Variants made ready: drawn once, stored, and drawn again as they were wherever one is missing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol

from trainer.domain.errors import Problem
from trainer.services.operation.audit import AuditLog
from trainer.services.papers.blueprint import read_blueprint
from trainer.services.papers.errors import PaperChangedError
from trainer.services.papers.records import Paper
from trainer.services.papers.storage import Papers
from trainer.services.papers.variants import VariantItem, draw_items, stored
from trainer.services.papers.words import PaperState
from trainer.services.practice.tasks import TaskForm
from trainer.services.scopes import Scopes
from trainer.services.storage import StoredTask, Tasks

SPARE_VARIANTS = 3
"""Beyond one for each candidate, for late comers and second attempts."""


class VariantRepositories(Protocol):
    """What storage needs to offer for keeping variants."""

    @property
    def papers(self) -> Papers:
        """Papers and their variants."""

    @property
    def tasks(self) -> Tasks:
        """Tasks by the hash of their content."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""


Made = tuple[tuple[StoredTask, VariantItem], ...]


def made(paper: Paper, number: int, form: TaskForm, at: datetime) -> Made:
    """A variant as it goes into storage; takes about a second. *Raises* BlueprintError."""
    items = draw_items(read_blueprint(paper.blueprint_json), paper.variant_key, number)
    return tuple(stored(item, paper.id, number, form, at) for item in items)


def keep(repositories: VariantRepositories, variant: Made) -> None:
    """Stores a variant; what is there already stays."""
    for task, _ in variant:
        repositories.tasks.keep(task)
    repositories.papers.keep_variant([item for _, item in variant])


def ensure_variant(
    scopes: Scopes[VariantRepositories], form: TaskForm, at: datetime, paper: Paper, number: int
) -> tuple[VariantItem, ...]:
    """The items of a variant, drawn now if nobody did before. *Raises* BlueprintError, PaperChangedError.

    Drawing takes long: where the paper was taken back or changed meanwhile nothing is kept, or somebody would
    get the old tasks once it is locked again.
    """
    with scopes.reading() as repositories:
        known = tuple(repositories.papers.variant(paper.id, number))
    if known:
        return known
    variant = made(paper, number, form, at)
    with scopes.writing() as repositories:
        current = repositories.papers.get(paper.organisation_id, paper.id, hold=True)
        if current is None or current.state is PaperState.DRAFT or _drawn_from(current) != _drawn_from(paper):
            problem = "was taken back or changed while its tasks were drawn; load it again"
            raise PaperChangedError(Problem(path="paper", problem=problem))
        keep(repositories, variant)
        return tuple(repositories.papers.variant(paper.id, number))


def wanted_variants(candidates: int, attempts_allowed: int) -> int:
    """How many variants a paper needs: one for every sitting there may be, and spare ones."""
    return candidates * attempts_allowed + SPARE_VARIANTS


def prepare(
    scopes: Scopes[VariantRepositories],
    form: TaskForm,
    now: Callable[[], datetime],
    paper: Paper,
    numbers: Sequence[int],
    *,
    is_wanted: Callable[[], bool] = lambda: True,
) -> int:
    """Draws the missing ones of some variants, one transaction each; gives how many were drawn.

    Stops where it is no longer wanted; starting again goes on with what is missing.
    """
    drawn = 0
    for number in numbers:
        if not is_wanted():
            break
        with scopes.reading() as repositories:
            current = repositories.papers.get(paper.organisation_id, paper.id)
            known = set(repositories.papers.variants(paper.id))
        # A paper that was taken back or changed meanwhile wants other variants, or none.
        if current is None or _drawn_from(current) != _drawn_from(paper):
            break
        if number in known:
            continue
        try:
            ensure_variant(scopes, form, now(), paper, number)
        except PaperChangedError:
            break
        drawn += 1
    return drawn


def _drawn_from(paper: Paper) -> tuple[str, str]:
    """What the variants depend on."""
    return paper.blueprint_json, paper.variant_key
