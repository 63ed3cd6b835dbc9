"""Two organisations, each with one of everything that an address can name."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy.orm import Session

from tests.web.conftest import NOON
from tests.web.people.conftest import House, build
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.moderation import AppealRow
from trainer.persistence.tables.operation import JobRow
from trainer.persistence.tables.organisations import SiteRow, StudyGroupRow, TradeRoleRow
from trainer.persistence.tables.papers import AccessArrangementRow, PaperRow
from trainer.persistence.tables.programmes import AssignmentRow, ProgrammeRow, RecordRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.people.records import GroupPlace
from trainer.services.people.words import GroupPart, Role


def ids_of(house: House) -> dict[str, str]:
    """What the parts of an address mean in this organisation."""
    name = house.organisation
    walled = {
        f"{kind}_id": f"{name}-{kind}"
        for kind in (
            "group", "job", "site", "trade_role", "paper", "programme", "assignment", "sitting", "record", "appeal",
            "arrangement",
        )
    }  # fmt: skip
    return {**walled, "member_id": house.member(Role.LEARNER), "organisation_id": name, **FREE}


# Parts of addresses that belong to no organisation, with a value for the test.
FREE = {
    "token": "no-such-token",
    "session_id": "no-such-session",
    "variant": "1",
    "position": "1",
    "name": "marks.csv",
}


def furnished(storage: SqlStorage, name: str) -> House:
    """An organisation with one of everything, taught and owned by all of its staff."""
    house = build(storage, name)
    ids = ids_of(house)
    with storage.database.writing() as session:
        _rooms(session, house, ids)
        session.flush()
        _papers(session, house, ids)
    with storage.scopes(people_repositories).writing() as stored:
        stored.groups.put(
            [
                GroupPlace(
                    group_id=ids["group_id"],
                    member_id=house.member(role),
                    organisation_id=name,
                    part=GroupPart.LEARNS if role is Role.LEARNER else GroupPart.TEACHES,
                    joined_at=NOON,
                )
                for role in Role
            ]
        )
    return house


def _rooms(session: Session, house: House, ids: dict[str, str]) -> None:
    name = house.organisation
    session.add_all(
        [
            StudyGroupRow(id=ids["group_id"], organisation_id=name, name="Group", created_at=NOON),
            SiteRow(id=ids["site_id"], organisation_id=name, name="Site"),
            TradeRoleRow(id=ids["trade_role_id"], organisation_id=name, name="Installer"),
            JobRow(
                id=ids["job_id"], organisation_id=name, kind="test", state="done", payload_json="{}", result_json="{}",
                failure="", progress_done=0, progress_total=0, tries=0, created_at=NOON,
            ),
            PaperRow(
                id=ids["paper_id"], organisation_id=name, title="Paper", state="draft", revision=1, blueprint_json="{}",
                mode="graded", attempts_allowed=1, critical_errors_fail=False, release_policy="by_hand",
                variant_key="k", edition="A4:2026", generator_version="1", rule_set_version="1",
                made_by=house.member(Role.LECTURER), created_at=NOON, changed_at=NOON,
            ),
            ProgrammeRow(
                id=ids["programme_id"], organisation_id=name, title="Programme", state="active", revision=1,
                cycle_days=365, warning_days=30, pass_percent=80, critical_errors_fail=True, items=3, level=2,
                edition="A4:2026", draw_json="{}", created_at=NOON,
            ),
        ]
    )  # fmt: skip


def _papers(session: Session, house: House, ids: dict[str, str]) -> None:
    name, learner = house.organisation, house.member(Role.LEARNER)
    session.add_all(
        [
            AssignmentRow(
                id=ids["assignment_id"], organisation_id=name, programme_id=ids["programme_id"], member_id=learner,
                state="active", due_at=NOON + timedelta(days=30), excused_reason="", assigned_at=NOON,
            ),
            AccessArrangementRow(
                id=ids["arrangement_id"], organisation_id=name, member_id=learner, extra_time_percent=25,
                rest_breaks_s=0, larger_text=False, note="", created_at=NOON,
            ),
            SittingRow(
                id=ids["sitting_id"], organisation_id=name, member_id=learner, paper_id=ids["paper_id"], number=1,
                variant=1, seed=1, state="running", started_at=NOON, paused_s=0, extra_time_s=0, larger_text=False,
            ),
        ]
    )  # fmt: skip
    session.flush()
    session.add_all(
        [
            AppealRow(
                id=ids["appeal_id"], organisation_id=name, sitting_id=ids["sitting_id"], note="", state="open",
                raised_at=NOON, answer="",
            ),
            RecordRow(
                id=ids["record_id"], code=f"code-{name}", organisation_id=name, member_id=learner, title="Record",
                holder_name="L", name_visibility="hidden", objectives_json="[]", edition="A4:2026",
                rule_set_version="1", marks=1, marks_available=1, issued_at=NOON, revoked_reason="",
            ),
        ]
    )  # fmt: skip
