"""Rows of a pattern that belong together and are copied together."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.cli.inventing.crowd.pattern import Pattern
from trainer.cli.inventing.crowd.rows import Rows
from trainer.persistence.tables import Base

SQUAD = 18
"""People of a firm that are copied together."""
_ORDER = {table.name: at for at, table in enumerate(Base.metadata.sorted_tables)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """An entry of the pattern's log, for being entered again."""

    at: datetime
    organisation_id: str | None
    actor_kind: str
    actor_id: str | None
    action: str
    subject_kind: str
    subject_id: str
    facts: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheaf:
    """Rows in the order in which they may be stored, the ids that are new in each copy, and what the log says."""

    parts: tuple[Rows, ...]
    own: tuple[str, ...]
    happened: tuple[Happened, ...] = ()


def sheaf_of(pattern: Pattern, *parts: Rows) -> Sheaf:
    """A sheaf of the parts that have rows."""
    kept = sorted((each for each in parts if len(each)), key=lambda each: _ORDER[each.table])
    own = tuple(name for part in kept if "id" in part.places for name in part.all("id"))
    return Sheaf(parts=tuple(kept), own=own, happened=_happened(pattern.rows["audit_entry"], set(own)))


def _happened(log: Rows, subjects: Collection[str]) -> tuple[Happened, ...]:
    names = [name for name in Happened.__slots__ if name != "facts"]
    return tuple(
        Happened(**{name: row[log.place(name)] for name in names}, facts=json.loads(row[log.place("details_json")]))
        for row in log.where("subject_id", subjects)
    )


def people(pattern: Pattern, members: Rows) -> Iterable[Rows]:
    """Members with their accounts and roles."""
    return (
        members,
        pattern.rows["person"].where("id", members.all("person_id")),
        pattern.rows["member_role"].where("member_id", members.all("id")),
    )


def group(pattern: Pattern) -> Sheaf:
    """The group with its learners; the lecturer's place in it too, but not the lecturer."""
    rows = pattern.rows
    learners = rows["member"].where("organisation_id", {pattern.college}).but("id", {pattern.lecturer})
    return sheaf_of(pattern, rows["study_group"], rows["group_member"], *people(pattern, learners))


def paper(pattern: Pattern, paper_id: str) -> Sheaf:
    """A paper with its variants, without the group that sits it."""
    rows = pattern.rows
    return sheaf_of(
        pattern, rows["paper"].where("id", {paper_id}), rows["paper_variant_item"].where("paper_id", {paper_id})
    )


def sat(pattern: Pattern, paper_id: str) -> Sheaf:
    """What the group did with a paper."""
    rows = pattern.rows
    sittings = rows["sitting"].where("paper_id", {paper_id})
    return sheaf_of(
        pattern,
        rows["paper_group"].where("paper_id", {paper_id}),
        rows["access_arrangement"].where("paper_id", {paper_id}),
        *_sittings(pattern, sittings),
    )


def _sittings(pattern: Pattern, sittings: Rows) -> Iterable[Rows]:
    rows, ids = pattern.rows, set(sittings.all("id"))
    gradings = rows["grading"].where("sitting_id", ids)
    names = ("sitting_break", "sitting_item", "saved_answer", "decision_outcome", "sitting_objective", "appeal")
    return (
        sittings,
        gradings,
        rows["item_grading"].where("grading_id", set(gradings.all("id"))),
        rows["training_record"].where("sitting_id", ids),
        *(rows[name].where("sitting_id", ids) for name in names),
    )


def firm(pattern: Pattern) -> Sheaf:
    """A firm with sites and kinds of work, without anybody."""
    rows = pattern.rows
    return sheaf_of(pattern, rows["organisation"].where("id", {pattern.firm}), rows["site"], rows["trade_role"])


def college(pattern: Pattern) -> Sheaf:
    """A college without anybody."""
    return sheaf_of(pattern, pattern.rows["organisation"].where("id", {pattern.college}))


def member(pattern: Pattern, member_id: str) -> Sheaf:
    """One member."""
    return sheaf_of(pattern, *people(pattern, pattern.rows["member"].where("id", {member_id})))


def squad(pattern: Pattern) -> Sheaf:
    """People of the firm without the manager."""
    return sheaf_of(pattern, *people(pattern, _squad(pattern)))


def _squad(pattern: Pattern) -> Rows:
    members = pattern.rows["member"].where("organisation_id", {pattern.firm}).but("id", {pattern.manager})
    return members.where("id", members.all("id")[:SQUAD])


def programme(pattern: Pattern) -> Sheaf:
    """A programme without anybody in it."""
    return sheaf_of(pattern, pattern.rows["programme"], pattern.rows["programme_objective"])


def refreshed(pattern: Pattern) -> Sheaf:
    """The squad in a programme, with the refreshers and records."""
    rows = pattern.rows
    assignments = rows["assignment"].where("member_id", set(_squad(pattern).all("id")))
    sittings = rows["sitting"].where("assignment_id", set(assignments.all("id")))
    return sheaf_of(pattern, assignments, *_sittings(pattern, sittings))


def history(pattern: Pattern, learner_id: str) -> Sheaf:
    """A history of practice without its plan."""
    names = ("page", "attempt", "objective_outcome", "schedule_review")
    return sheaf_of(pattern, *(pattern.rows[name].where("learner_id", {learner_id}) for name in names))
