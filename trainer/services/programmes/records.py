"""Programmes, assignments, refreshers and training records, in plain values."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, datetime

from trainer.domain.tasks import TaskKind
from trainer.services.programmes.dates import currency, standing
from trainer.services.programmes.words import (
    AssignmentState,
    Currency,
    NameVisibility,
    ProgrammeState,
    Standing,
)

_NOMINAL_MONTH_DAYS = 28
"""A month is at least as long, so that days derived from months never promise more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """How a refresher is drawn, and what of the cycle is counted in months."""

    cycle_months: int = 12
    first_due_days: int = 30
    kinds: tuple[TaskKind, ...] = tuple(TaskKind)


def write_draw(draw: Draw) -> str:
    """The settings as JSON."""
    return json.dumps(asdict(draw), sort_keys=True, separators=(",", ":"))


def read_draw(text: str, cycle_days: int) -> Draw:
    """The settings that were written; what is missing is as usual, the cycle as its days say."""
    given = json.loads(text)
    kinds = tuple(TaskKind(each) for each in given.get("kinds", ()) if each in list(TaskKind))
    return Draw(
        cycle_months=int(given.get("cycle_months", max(1, round(cycle_days / 30.4)))),
        first_due_days=int(given.get("first_due_days", Draw().first_due_days)),
        kinds=kinds or tuple(TaskKind),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """What must be kept current, how often, and what counts as passed."""

    id: str
    organisation_id: str
    title: str
    state: ProgrammeState
    revision: int
    warning_days: int
    pass_percent: int
    critical_errors_fail: bool
    items: int
    level: int
    edition: str
    draw: Draw
    made_by: str | None
    created_at: datetime
    # By id of the role: the objectives that it keeps current.
    objectives: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    # Ids of the sites it is for; none is all.
    sites: tuple[str, ...] = ()

    @property
    def cycle_days(self) -> int:
        """The least number of days of the cycle."""
        return self.draw.cycle_months * _NOMINAL_MONTH_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """One person in one programme."""

    id: str
    organisation_id: str
    programme_id: str
    member_id: str
    state: AssignmentState
    due_at: datetime
    last_passed_at: datetime | None
    last_edition: str | None
    excused_reason: str
    assigned_at: datetime

    def standing(self, warning_days: int, today: date) -> Standing:
        """How it stands on a day."""
        return standing(self.state, self.due_at, self.last_passed_at, warning_days, today)

    def currency(self, warning_days: int, today: date) -> Currency:
        """How current the person is by it on a day."""
        return currency(self.standing(warning_days, today))


@dataclass(frozen=True, slots=True, kw_only=True)
class Somebody:
    """A member as lists show one."""

    id: str
    display_name: str
    sort_name: str
    email: str | None
    site_id: str | None
    trade_role_id: str | None
    learner_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AssignedLine:
    """A person in a programme with how it stands."""

    assignment: Assignment
    member: Somebody


@dataclass(frozen=True, slots=True, kw_only=True)
class Filter:
    """Which people a list shows; empty is all."""

    site_id: str = ""
    trade_role_id: str = ""
    standing: Standing | None = None
    search: str = ""
    # Ids of roles; none is all.
    roles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How many people of a programme and a role stand how."""

    programme_id: str
    trade_role_id: str | None
    state: AssignmentState
    ever_passed: bool
    standing: Standing
    people: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What somebody earned towards an objective when it was last assessed."""

    objective_id: str
    marks: int
    marks_available: int
    last_at: datetime | None = None
    # A belief that showed in it, if one did.
    misconception_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedLine:
    """What one task of a sitting asked towards one objective; no answer stands in it."""

    sitting_id: str
    position: int
    kind: str
    level: int
    objective_id: str
    decisions: int
    edition: str
    rule_set_version: str
    content_hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrainingRecord:
    """That somebody passed: what, under which edition, until when."""

    id: str
    code: str
    organisation_id: str
    member_id: str
    sitting_id: str | None
    programme_id: str | None
    paper_id: str | None
    title: str
    holder_name: str
    name_visibility: NameVisibility
    objectives_json: str
    edition: str
    rule_set_version: str
    marks: int
    marks_available: int
    issued_at: datetime
    valid_until: datetime | None
    revoked_at: datetime | None = None
    revoked_by: str | None = None
    revoked_reason: str = ""

    @property
    def objectives(self) -> tuple[str, ...]:
        """The ids of the objectives that were assessed."""
        return tuple(json.loads(self.objectives_json))
