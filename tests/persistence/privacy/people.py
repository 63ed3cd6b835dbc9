"""A learner of two organisations about whom everything is stored that can be: each text says so."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from tests.web.conftest import NOON
from tests.web.people.conftest import House, member, person
from tests.web.people.world import furnished, ids_of
from trainer.persistence.models import AttemptRow, Base, LearnerRow, OutcomeRow, PageRow, TaskRow
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import RecoveryCodeRow, SecondFactorRow, SignedInRow, SingleUseTokenRow
from trainer.persistence.tables.moderation import AppealRow, ModerationRow
from trainer.persistence.tables.operation import JobFileRow, JobRow
from trainer.persistence.tables.organisations import GroupMemberRow, MemberRow
from trainer.persistence.tables.papers import AccessArrangementRow, PaperRow
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.persistence.tables.programmes import AssignmentRow, RecordRow, ReminderRow
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    ItemGradingRow,
    SavedAnswerRow,
    SittingBreakRow,
    SittingItemRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.people.words import Role

# Stands in everything that tells who somebody is; afterwards it may stand nowhere.
CANARY = "zephyrine"
ACCOUNT, LEARNER = "the-account", "the-learner"
HASH = "c" * 64


def member_of(name: str) -> str:
    return f"{name}-zz"


def described(storage: SqlStorage) -> tuple[House, House]:
    """Two organisations with one of everything, and one account that learns in both and practises."""
    houses = furnished(storage, "college"), furnished(storage, "firm")
    with storage.database.writing() as session:
        _practised(session)
    with storage.scopes(people_repositories).writing() as stored:
        name = f"{CANARY}@example.org"
        named = {"sign_in_name": name, "email": name, "display_name": f"{CANARY} Testperson"}
        stored.people.add(person(ACCOUNT, learner_id=LEARNER, **named))
        for house in houses:
            org = house.organisation
            more = {"display_name": f"{CANARY} T.", "email": f"{org}.{CANARY}@example.org", "reference": f"{CANARY}-7"}
            stored.members.add(member(member_of(org), org, Role.LEARNER, person_id=ACCOUNT, **more))
            event = AuditEvent(
                at=NOON, actor=Actor(kind="member", id=member_of(org)), action="sitting.started",
                subject_kind="member", subject_id=member_of(org), organisation_id=org, facts={"number": 1},
            )  # fmt: skip
            stored.audit.append(event)
    with storage.database.writing() as session:
        _signed_in(session)
        for house in houses:
            _in_organisation(session, house)
    return houses


def _practised(session: Session) -> None:
    session.add(LearnerRow(id=LEARNER, created_at=NOON, last_seen_at=NOON))
    session.add(
        TaskRow(
            content_hash=HASH, content=b"{}", seed=77, generator_version="1", rule_set_version="1",
            edition="A4:2026", kind="choose", level=1, archetype="terrace", created_at=NOON,
        )
    )  # fmt: skip
    session.flush()
    session.add(PageRow(id="a-page", content_hash=HASH, learner_id=LEARNER, created_at=NOON))
    session.flush()
    session.add(
        AttemptRow(
            id="an-attempt", page_id="a-page", number=1, learner_id=LEARNER, answers_json='{"d1":"B"}',
            certainty_json="{}", grade_json=b'{"key":"the key"}', marks=2, marks_available=3, safe_to_energise=True,
            rule_set_version="1", edition="A4:2026", started_at=NOON, submitted_at=NOON,
        )
    )  # fmt: skip
    session.flush()
    session.add_all(
        [
            OutcomeRow(
                attempt_id="an-attempt", position=1, learner_id=LEARNER, objective_id="LO01", marks=2,
                marks_available=3,
            ),
            ScheduleCardRow(learner_id=LEARNER, objective_id="LO01", state_json="{}", due_at=NOON, reviews=1),
            ScheduleReviewRow(
                learner_id=LEARNER, objective_id="LO01", source_id="an-attempt", rating="good", reviewed_at=NOON
            ),
            ObjectiveStandingRow(
                learner_id=LEARNER, objective_id="LO01", decisions=1, marks=2, marks_available=3, last_at=NOON
            ),
        ]
    )  # fmt: skip


def _signed_in(session: Session) -> None:
    session.add_all(
        [
            SignedInRow(
                id="a-session", token_hash="t" * 64, person_id=ACCOUNT, member_id=member_of("college"),
                device=f"{CANARY}'s phone", created_at=NOON, last_seen_at=NOON, expires_at=NOON + timedelta(days=30),
            ),
            SingleUseTokenRow(
                token_hash="u" * 64, purpose="reset", person_id=ACCOUNT, created_at=NOON, expires_at=NOON
            ),
            SecondFactorRow(person_id=ACCOUNT, salt="salt-of-factor", created_at=NOON, last_step=0),
            RecoveryCodeRow(person_id=ACCOUNT, code_hash="v" * 64),
        ]
    )  # fmt: skip


def _in_organisation(session: Session, house: House) -> None:
    org, ids, who = house.organisation, ids_of(house), member_of(house.organisation)
    sitting = f"{org}-sat"
    session.add(
        GroupMemberRow(group_id=ids["group_id"], member_id=who, organisation_id=org, part="learns", joined_at=NOON)
    )
    session.execute(
        update(MemberRow).where(MemberRow.id == who).values(site_id=ids["site_id"], trade_role_id=ids["trade_role_id"])
    )
    session.execute(update(PaperRow).where(PaperRow.id == ids["paper_id"]).values(state="closed"))
    session.add_all(
        [
            AssignmentRow(
                id=f"{org}-zz-a", organisation_id=org, programme_id=ids["programme_id"], member_id=who, state="excused",
                due_at=NOON, excused_reason=f"{CANARY} was ill", assigned_at=NOON,
            ),
            AccessArrangementRow(
                id=f"{org}-zz-n", organisation_id=org, member_id=who, extra_time_percent=25, rest_breaks_s=600,
                larger_text=True, note=f"{CANARY} reads slowly", created_at=NOON,
            ),
            SittingRow(
                id=sitting, organisation_id=org, member_id=who, paper_id=ids["paper_id"], number=1, variant=1,
                seed=424242, candidate_number=f"{org}-0815"[:20], state="handed_in", started_at=NOON, paused_s=60,
                extra_time_s=900, rest_breaks_s=600, larger_text=True, handed_in_at=NOON, handed_in_by="learner",
                grading_number=1, marks=5, marks_available=8, safe_to_energise=True,
            ),
            JobRow(
                id=f"{org}-job-zz", organisation_id=org, kind="roster", state="done", payload_json=f"name\n{CANARY}",
                result_json="{}", failure="", progress_done=0, progress_total=0, tries=0, asked_by=ACCOUNT,
                created_at=NOON, finished_at=NOON,
            ),
            JobFileRow(
                job_id=ids["job_id"], name="marks.csv", media_type="text/csv", content=f"{CANARY};5".encode()
            ),
        ]
    )  # fmt: skip
    session.flush()
    session.add_all(
        [
            ReminderRow(assignment_id=f"{org}-zz-a", kind="warning", due_at=NOON, sent_at=NOON),
            SittingBreakRow(sitting_id=sitting, number=1, began_at=NOON, ended_at=NOON + timedelta(seconds=60)),
            SittingItemRow(sitting_id=sitting, position=1, slot=1, content_hash=HASH, marks_available=8, flagged=False),
            GradingRow(
                id=f"{org}-g", sitting_id=sitting, number=1, marks=5, marks_available=8, safe_to_energise=True,
                edition="A4:2026", rule_set_version="1", reason="", graded_at=NOON,
            ),
            DecisionOutcomeRow(
                sitting_id=sitting, position=1, decision_id="d1", paper_id=ids["paper_id"], slot=1, item_key="k",
                chosen="type_b", objective_id="LO01", marks=5, marks_available=8,
            ),
            AppealRow(
                id=f"{org}-zz-p", organisation_id=org, sitting_id=sitting, position=1, note=f"I, {CANARY}, object",
                state="upheld", raised_at=NOON, answer=f"{CANARY} is right", answered_at=NOON,
                answered_by=house.member(Role.LECTURER),
            ),
            ModerationRow(
                id=f"{org}-zz-m", organisation_id=org, paper_id=ids["paper_id"], kind="mark_changed",
                sitting_id=sitting, position=1, marks_before=4, marks_after=5, reason=f"{CANARY} wrote it beside",
                made_by=house.member(Role.LECTURER), made_at=NOON,
            ),
            RecordRow(
                id=f"{org}-zz-r", code=f"code-of-zz-{org}", organisation_id=org, member_id=who, sitting_id=sitting,
                title="Record", holder_name=f"{CANARY} T.", name_visibility="full", objectives_json="[]",
                edition="A4:2026", rule_set_version="1", marks=5, marks_available=8, issued_at=NOON, revoked_reason="",
            ),
        ]
    )  # fmt: skip
    session.flush()
    session.add_all(
        [
            SavedAnswerRow(
                sitting_id=sitting, position=1, sequence=3, sender="page-secret", answers_json='{"d1":"type_b"}',
                certainty_json="{}", saved_at=NOON, late=False,
            ),
            ItemGradingRow(grading_id=f"{org}-g", position=1, marks=5, marks_available=8, grade_json=b'{"key":"K"}'),
            SittingObjectiveRow(
                sitting_id=sitting, objective_id="LO01", organisation_id=org, member_id=who, decisions=1, marks=5,
                marks_available=8,
            ),
        ]
    )  # fmt: skip


def everything(storage: SqlStorage) -> dict[str, list[str]]:
    """Every row of every table as text."""
    with storage.database.reading() as session:
        return {
            name: [repr(tuple(row)) for row in session.execute(select(table))]
            for name, table in Base.metadata.tables.items()
        }
