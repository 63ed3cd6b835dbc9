"""Papers and what belongs to them, in plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.domain.tasks import TaskKind
from trainer.services.papers.words import (
    AppealState,
    HandedInBy,
    ModerationKind,
    PaperMode,
    PaperState,
    ReleasePolicy,
    SeedMark,
    SittingState,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper; ``revision`` counts its changes, ``variant_key`` is its secret."""

    id: str
    organisation_id: str
    title: str
    state: PaperState
    revision: int
    blueprint_json: str
    mode: PaperMode
    opens_at: datetime | None
    closes_at: datetime | None
    time_limit_s: int | None
    attempts_allowed: int
    access_code: str | None
    pass_percent: int | None
    critical_errors_fail: bool
    release_policy: ReleasePolicy
    release_at: datetime | None
    variant_key: str
    edition: str
    generator_version: str
    rule_set_version: str
    made_by: str | None
    created_at: datetime
    changed_at: datetime
    release_asked_by: str | None = None
    release_asked_at: datetime | None = None
    released_by: str | None = None
    released_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """A paper in a list, with who sits it and how many have handed in."""

    paper: Paper
    groups: tuple[str, ...]
    sittings: int
    handed_in: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """What one person needs in order to sit fairly; ``paper_id`` None holds for every paper."""

    id: str
    organisation_id: str
    member_id: str
    paper_id: str | None
    extra_time_percent: int
    rest_breaks_s: int
    larger_text: bool
    note: str
    made_by: str | None
    created_at: datetime
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """Somebody who sits a paper, or may."""

    member_id: str
    display_name: str
    groups: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingLine:
    """A sitting as staff see it in a list."""

    id: str
    member_id: str
    display_name: str
    number: int
    candidate_number: str | None
    variant: int
    state: SittingState
    started_at: datetime
    deadline_at: datetime | None
    paused_s: int
    handed_in_at: datetime | None
    handed_in_by: HandedInBy | None
    grading_number: int | None
    marks: int | None
    marks_available: int | None
    safe_to_energise: bool | None
    items: int = 0
    answered: int = 0
    last_saved_at: datetime | None = None

    @property
    def taken_s(self) -> int | None:
        """The time from start to hand-in without rest breaks, in whole seconds; not known of what was sat on paper."""
        if self.handed_in_at is None or self.handed_in_at == self.started_at:
            return None
        return max(0, int((self.handed_in_at - self.started_at).total_seconds()) - self.paused_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemMark:
    """What one item of a sitting earned in the grading that counts, before moderation."""

    sitting_id: str
    position: int
    slot: int
    content_hash: str
    marks: int
    marks_available: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Moderation:
    """A mark that was changed, or an item that was voided for everybody, with the reason."""

    id: str
    organisation_id: str
    paper_id: str
    kind: ModerationKind
    sitting_id: str | None
    position: int | None
    slot: int | None
    marks_before: int | None
    marks_after: int | None
    reason: str
    made_by: str
    made_at: datetime
    confirmed_by: str | None = None
    confirmed_at: datetime | None = None
    withdrawn_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Regrading:
    """A re-grading of a paper: whom it would change, and whether it was applied."""

    id: str
    organisation_id: str
    paper_id: str
    rule_set_version: str
    reason: str
    report_json: bytes
    made_by: str
    made_at: datetime
    applied_by: str | None = None
    applied_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Appeal:
    """A learner's note that a mark is wrong, and the answer."""

    id: str
    organisation_id: str
    sitting_id: str
    position: int | None
    note: str
    state: AppealState
    raised_at: datetime
    answer: str
    answered_by: str | None = None
    answered_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one decision of a sitting ended, for figures."""

    sitting_id: str
    position: int
    decision_id: str
    slot: int
    item_key: str
    chosen: str | None
    objective_id: str
    misconception_id: str | None
    certainty: int | None
    marks: int
    marks_available: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredFigures:
    """Figures of a paper as they were last computed; another basis means that they are out of date."""

    paper_id: str
    group_id: str
    figures_json: bytes
    sittings: int
    basis_hash: str
    made_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedSeed:
    """A task that an organisation pinned or barred: what makes it, and the hash under which it is kept."""

    content_hash: str
    mark: SeedMark
    seed: int
    kind: TaskKind
    level: int
    archetype: str | None
    family: str | None
    generator_version: str
    title: str
    marked_by: str
    marked_at: datetime
