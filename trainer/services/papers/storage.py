"""What the use cases of papers ask of storage; persistence answers it.

Everything is asked for together with its organisation, so that nothing is reached over the wall.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from trainer.services.operation.audit import AuditLog
from trainer.services.papers.records import (
    Appeal,
    Arrangement,
    Candidate,
    ItemMark,
    MarkedSeed,
    Moderation,
    Outcome,
    Paper,
    PaperLine,
    Regrading,
    SittingLine,
    StoredFigures,
)
from trainer.services.papers.variants import VariantItem
from trainer.services.people.storage import Groups, Members, Organisations
from trainer.services.storage import Tasks


class Papers(Protocol):
    """Papers, their groups and their variants."""

    def add(self, paper: Paper) -> None:
        """Stores a new paper."""

    def get(self, organisation_id: str, paper_id: str, *, hold: bool = False) -> Paper | None:
        """The paper; ``hold`` keeps others from changing it until the transaction ends."""

    def change(self, paper: Paper, *, seen: int) -> bool:
        """Stores the paper as the revision after ``seen``; False when another one is stored by now."""

    def all(self, organisation_id: str, *, seen_by: str | None = None, limit: int = 200) -> Sequence[PaperLine]:
        """Papers, newest first; or only those that a member made or whose groups the member teaches."""

    def of_learner(self, organisation_id: str, member_id: str) -> Sequence[Paper]:
        """Papers that are no drafts and set for a group in which the member learns, newest first."""

    def may_see(self, paper: Paper, member_id: str) -> bool:
        """True when the member made the paper or teaches a group that sits it."""

    def groups_of(self, organisation_id: str, paper_id: str) -> Sequence[str]:
        """The ids of the groups that sit it."""

    def learners(self, organisation_id: str, paper_id: str) -> Mapping[str, frozenset[str]]:
        """Who learns in each group that sits it, by group; members by id."""

    def set_groups(self, organisation_id: str, paper_id: str, group_ids: Collection[str]) -> None:
        """Lets exactly these groups sit it."""

    def candidates(self, organisation_id: str, paper_id: str) -> Sequence[Candidate]:
        """Everybody who may sit it, once each, by name."""

    def variant(self, paper_id: str, number: int) -> Sequence[VariantItem]:
        """The items of a variant in order; empty when it is not drawn yet."""

    def keep_variant(self, items: Sequence[VariantItem]) -> None:
        """Stores the items of a variant; those that are there already stay."""

    def variants(self, paper_id: str) -> Sequence[int]:
        """The numbers of the variants that are drawn."""

    def drop_variants(self, paper_id: str) -> None:
        """Forgets all variants."""

    def due(self, now: datetime) -> Sequence[Paper]:
        """Papers of all organisations that the clock opens, closes or releases now."""


class Arrangements(Protocol):
    """What people need in order to sit fairly."""

    def add(self, arrangement: Arrangement) -> None:
        """Stores a new one."""

    def get(self, organisation_id: str, arrangement_id: str) -> Arrangement | None:
        """The one with this id."""

    def end(self, organisation_id: str, arrangement_id: str, at: datetime) -> None:
        """Ends one."""

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Arrangement]:
        """Those in force for the candidates of a paper: of the paper, and of every paper."""

    def of_member(self, organisation_id: str, member_id: str, paper_id: str) -> Sequence[Arrangement]:
        """Those in force for one member at one paper."""


class PaperSittings(Protocol):
    """Sittings as staff read and moderate them."""

    def lines(self, organisation_id: str, paper_id: str, *, progress: bool = False) -> Sequence[SittingLine]:
        """All sittings of a paper by candidate number; with ``progress`` also what was saved when."""

    def line(self, organisation_id: str, sitting_id: str) -> tuple[Paper, SittingLine] | None:
        """One sitting of a paper."""

    def item_marks(self, paper_id: str, sitting_id: str | None = None) -> Sequence[ItemMark]:
        """The marks of every item in the gradings that count, by sitting and position."""

    def grade(self, sitting_id: str, position: int) -> bytes | None:
        """The grade of an item with its explanations, in the grading that counts."""

    def answers(self, sitting_id: str) -> Mapping[int, tuple[str, str]]:
        """Answers and certainties as JSON by position."""

    def set_marks(self, sitting_id: str, marks: int, marks_available: int) -> None:
        """Stores the marks that count."""

    def rule_sets(self, paper_id: str) -> Mapping[str, str]:
        """The rule set version of the grading that counts, by sitting."""

    def outcomes(self, paper_id: str) -> Sequence[Outcome]:
        """How every decision ended, in the gradings that count."""

    def objective_sums(self, paper_id: str) -> Sequence[tuple[str, str, int, int]]:
        """(sitting, objective, marks, marks available) of the gradings that count."""

    def basis(self, paper_id: str) -> Sequence[tuple[str, int | None, int | None]]:
        """(sitting, grading number, marks) of everything handed in: what figures rest on."""


class Moderations(Protocol):
    """What people do to marks after the sitting."""

    def add(self, moderation: Moderation) -> None:
        """Stores a new one."""

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Moderation]:
        """All of a paper, oldest first."""

    def withdraw(self, organisation_id: str, moderation_id: str, at: datetime) -> bool:
        """Takes one back; False where there is none that counts."""

    def add_regrading(self, regrading: Regrading) -> None:
        """Stores a report."""

    def regradings(self, organisation_id: str, paper_id: str) -> Sequence[Regrading]:
        """The reports of a paper, newest first."""

    def apply_regrading(self, regrading_id: str, member_id: str, at: datetime) -> bool:
        """Notes that a report was applied; of several at once one gets True."""


class Appeals(Protocol):
    """Notes of learners that a mark is wrong."""

    def add(self, appeal: Appeal) -> None:
        """Stores a new one."""

    def get(self, organisation_id: str, appeal_id: str) -> Appeal | None:
        """The one with this id."""

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Appeal]:
        """All of a paper, open ones first."""

    def of_sitting(self, organisation_id: str, sitting_id: str) -> Sequence[Appeal]:
        """Those of a sitting."""

    def waiting(self, organisation_id: str) -> Mapping[str, int]:
        """By paper how many are not answered; papers without one are left out."""

    def close(self, appeal: Appeal) -> bool:
        """Stores the answer; False when it was answered before."""


class FiguresShelf(Protocol):
    """Figures as they were last computed."""

    def get(self, paper_id: str, group_id: str) -> StoredFigures | None:
        """Those of a paper and group; an empty group is everybody."""

    def put(self, figures: StoredFigures) -> None:
        """Stores them in place of earlier ones."""


class SeedMarks(Protocol):
    """Tasks that an organisation pinned or barred."""

    def of(self, organisation_id: str) -> Sequence[MarkedSeed]:
        """Those that hold now, newest first."""


class PaperRepositories(Protocol):
    """Everything about papers, seen through one transaction."""

    @property
    def papers(self) -> Papers:
        """Papers, their groups and their variants."""

    @property
    def arrangements(self) -> Arrangements:
        """What people need in order to sit fairly."""

    @property
    def sittings(self) -> PaperSittings:
        """Sittings as staff read and moderate them."""

    @property
    def moderations(self) -> Moderations:
        """What people do to marks after the sitting."""

    @property
    def appeals(self) -> Appeals:
        """Notes of learners that a mark is wrong."""

    @property
    def figures(self) -> FiguresShelf:
        """Figures as they were last computed."""

    @property
    def seeds(self) -> SeedMarks:
        """Tasks that an organisation pinned or barred."""

    @property
    def groups(self) -> Groups:
        """Groups of learners."""

    @property
    def members(self) -> Members:
        """People in organisations."""

    @property
    def organisations(self) -> Organisations:
        """Colleges and firms."""

    @property
    def tasks(self) -> Tasks:
        """Tasks by the hash of their content."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""
