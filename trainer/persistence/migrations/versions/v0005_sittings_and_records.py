"""Sittings, gradings, moderation, records."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "sitting",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("paper_id", sa.String(length=43), nullable=True),
        sa.Column("assignment_id", sa.String(length=43), nullable=True),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("candidate_number", sa.String(length=20), nullable=True),
        sa.Column("variant", sa.Integer(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deadline_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("paused_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("paused_s", sa.Integer(), nullable=False),
        sa.Column("extra_time_s", sa.Integer(), nullable=False),
        sa.Column("larger_text", sa.Boolean(), nullable=False),
        sa.Column("handed_in_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("handed_in_by", sa.String(length=20), nullable=True),
        sa.Column("grading_number", sa.Integer(), nullable=True),
        sa.Column("marks", sa.Integer(), nullable=True),
        sa.Column("marks_available", sa.Integer(), nullable=True),
        sa.Column("safe_to_energise", sa.Boolean(), nullable=True),
        sa.CheckConstraint(
            "handed_in_by IN ('learner', 'time', 'staff')", name=op.f("ck_sitting_handed_in_by_is_known")
        ),
        sa.CheckConstraint(
            "state <> 'handed_in' OR handed_in_at IS NOT NULL", name=op.f("ck_sitting_handed_in_has_a_time")
        ),
        sa.CheckConstraint(
            "state IN ('running', 'paused', 'handed_in', 'void')", name=op.f("ck_sitting_state_is_known")
        ),
        sa.CheckConstraint(
            "(paper_id IS NULL) <> (assignment_id IS NULL)", name=op.f("ck_sitting_of_a_paper_or_a_refresher")
        ),
        sa.CheckConstraint(
            "marks IS NULL OR (marks >= 0 AND marks <= marks_available)", name=op.f("ck_sitting_marks_within_available")
        ),
        sa.CheckConstraint("number >= 1", name=op.f("ck_sitting_number_from_one")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "assignment_id"],
            ["assignment.organisation_id", "assignment.id"],
            name=op.f("fk_sitting_organisation_id_assignment_id_assignment"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_sitting_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_sitting_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_sitting_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sitting")),
        sa.UniqueConstraint("assignment_id", "number", name=op.f("uq_sitting_assignment_id_number")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_sitting_organisation_id_id")),
        sa.UniqueConstraint("paper_id", "candidate_number", name=op.f("uq_sitting_paper_id_candidate_number")),
        sa.UniqueConstraint("paper_id", "member_id", "number", name=op.f("uq_sitting_paper_id_member_id_number")),
    )
    op.create_index(op.f("ix_sitting_member_id_started_at"), "sitting", ["member_id", "started_at"])
    op.create_index(op.f("ix_sitting_paper_id_state_marks"), "sitting", ["paper_id", "state", "marks"])
    op.create_index(op.f("ix_sitting_state_deadline_at"), "sitting", ["state", "deadline_at"])
    op.create_table(
        "sitting_break",
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sitting.id"], name=op.f("fk_sitting_break_sitting_id_sitting"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("sitting_id", "number", name=op.f("pk_sitting_break")),
    )
    op.create_table(
        "sitting_item",
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("slot", sa.Integer(), nullable=False),
        sa.Column("content_hash", sa.String(length=64), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("flagged", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["content_hash"], ["task.content_hash"], name=op.f("fk_sitting_item_content_hash_task")
        ),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sitting.id"], name=op.f("fk_sitting_item_sitting_id_sitting"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("sitting_id", "position", name=op.f("pk_sitting_item")),
    )
    op.create_index(op.f("ix_sitting_item_content_hash"), "sitting_item", ["content_hash"])
    op.create_table(
        "saved_answer",
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("sender", sa.String(length=43), nullable=False),
        sa.Column("answers_json", sa.Text(), nullable=False),
        sa.Column("certainty_json", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.CheckConstraint("sequence >= 1", name=op.f("ck_saved_answer_sequence_from_one")),
        sa.ForeignKeyConstraint(
            ["sitting_id", "position"],
            ["sitting_item.sitting_id", "sitting_item.position"],
            name=op.f("fk_saved_answer_sitting_id_position_sitting_item"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("sitting_id", "position", name=op.f("pk_saved_answer")),
    )
    op.create_table(
        "grading",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("safe_to_energise", sa.Boolean(), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("graded_by", sa.String(length=43), nullable=True),
        sa.Column("graded_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("marks >= 0 AND marks <= marks_available", name=op.f("ck_grading_marks_within_available")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_grading_number_from_one")),
        sa.ForeignKeyConstraint(["graded_by"], ["member.id"], name=op.f("fk_grading_graded_by_member")),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sitting.id"], name=op.f("fk_grading_sitting_id_sitting"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_grading")),
        sa.UniqueConstraint("sitting_id", "number", name=op.f("uq_grading_sitting_id_number")),
    )
    op.create_table(
        "item_grading",
        sa.Column("grading_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("grade_json", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["grading_id"], ["grading.id"], name=op.f("fk_item_grading_grading_id_grading"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("grading_id", "position", name=op.f("pk_item_grading")),
    )
    op.create_table(
        "decision_outcome",
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("decision_id", sa.String(length=80), nullable=False),
        sa.Column("paper_id", sa.String(length=43), nullable=True),
        sa.Column("slot", sa.Integer(), nullable=False),
        sa.Column("item_key", sa.String(length=80), nullable=False),
        sa.Column("chosen", sa.String(length=80), nullable=True),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("misconception_id", sa.String(length=80), nullable=True),
        sa.Column("certainty", sa.Integer(), nullable=True),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "marks >= 0 AND marks <= marks_available", name=op.f("ck_decision_outcome_marks_within_available")
        ),
        sa.ForeignKeyConstraint(["paper_id"], ["paper.id"], name=op.f("fk_decision_outcome_paper_id_paper")),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sitting.id"], name=op.f("fk_decision_outcome_sitting_id_sitting"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("sitting_id", "position", "decision_id", name=op.f("pk_decision_outcome")),
    )
    op.create_index(
        op.f("ix_decision_outcome_paper_id_misconception_id"), "decision_outcome", ["paper_id", "misconception_id"]
    )
    op.create_index(
        op.f("ix_decision_outcome_paper_id_slot_item_key"), "decision_outcome", ["paper_id", "slot", "item_key"]
    )
    op.create_table(
        "sitting_objective",
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("decisions", sa.Integer(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_sitting_objective_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "sitting_id"],
            ["sitting.organisation_id", "sitting.id"],
            name=op.f("fk_sitting_objective_organisation_id_sitting_id_sitting"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_sitting_objective_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("sitting_id", "objective_id", name=op.f("pk_sitting_objective")),
    )
    op.create_index(
        op.f("ix_sitting_objective_member_id_objective_id"), "sitting_objective", ["member_id", "objective_id"]
    )
    op.create_table(
        "moderation",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("paper_id", sa.String(length=43), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("sitting_id", sa.String(length=43), nullable=True),
        sa.Column("position", sa.Integer(), nullable=True),
        sa.Column("slot", sa.Integer(), nullable=True),
        sa.Column("marks_before", sa.Integer(), nullable=True),
        sa.Column("marks_after", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("confirmed_by", sa.String(length=43), nullable=True),
        sa.Column("confirmed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "kind <> 'mark_changed' OR sitting_id IS NOT NULL", name=op.f("ck_moderation_changed_mark_has_a_sitting")
        ),
        sa.CheckConstraint("kind IN ('mark_changed', 'item_voided')", name=op.f("ck_moderation_kind_is_known")),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_moderation_has_a_reason")),
        sa.CheckConstraint(
            "confirmed_by IS NULL OR confirmed_by <> made_by", name=op.f("ck_moderation_confirmed_by_another")
        ),
        sa.ForeignKeyConstraint(["confirmed_by"], ["member.id"], name=op.f("fk_moderation_confirmed_by_member")),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_moderation_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_moderation_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "sitting_id"],
            ["sitting.organisation_id", "sitting.id"],
            name=op.f("fk_moderation_organisation_id_sitting_id_sitting"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_moderation_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_moderation")),
    )
    op.create_index(op.f("ix_moderation_paper_id_made_at"), "moderation", ["paper_id", "made_at"])
    op.create_index(op.f("ix_moderation_sitting_id"), "moderation", ["sitting_id"])
    op.create_table(
        "paper_regrading",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("paper_id", sa.String(length=43), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("report_json", sa.LargeBinary(), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("applied_by", sa.String(length=43), nullable=True),
        sa.Column("applied_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_paper_regrading_has_a_reason")),
        sa.ForeignKeyConstraint(["applied_by"], ["member.id"], name=op.f("fk_paper_regrading_applied_by_member")),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_paper_regrading_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_paper_regrading_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_paper_regrading_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper_regrading")),
    )
    op.create_index(op.f("ix_paper_regrading_paper_id"), "paper_regrading", ["paper_id"])
    op.create_table(
        "appeal",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("sitting_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("raised_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("answered_by", sa.String(length=43), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("state = 'open' OR answered_at IS NOT NULL", name=op.f("ck_appeal_closed_has_an_answer")),
        sa.CheckConstraint("state IN ('open', 'upheld', 'dismissed')", name=op.f("ck_appeal_state_is_known")),
        sa.ForeignKeyConstraint(["answered_by"], ["member.id"], name=op.f("fk_appeal_answered_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "sitting_id"],
            ["sitting.organisation_id", "sitting.id"],
            name=op.f("fk_appeal_organisation_id_sitting_id_sitting"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_appeal_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_appeal")),
    )
    op.create_index(
        op.f("ix_appeal_organisation_id_state_raised_at"), "appeal", ["organisation_id", "state", "raised_at"]
    )
    op.create_index(op.f("ix_appeal_sitting_id"), "appeal", ["sitting_id"])
    op.create_table(
        "training_record",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("code", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("sitting_id", sa.String(length=43), nullable=True),
        sa.Column("programme_id", sa.String(length=43), nullable=True),
        sa.Column("paper_id", sa.String(length=43), nullable=True),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("holder_name", sa.String(length=200), nullable=False),
        sa.Column("name_visibility", sa.String(length=20), nullable=False),
        sa.Column("objectives_json", sa.Text(), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("valid_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_by", sa.String(length=43), nullable=True),
        sa.Column("revoked_reason", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "name_visibility IN ('hidden', 'initials', 'full')",
            name=op.f("ck_training_record_name_visibility_is_known"),
        ),
        sa.CheckConstraint(
            "revoked_at IS NULL OR revoked_reason <> ''", name=op.f("ck_training_record_revoked_has_a_reason")
        ),
        sa.CheckConstraint(
            "marks >= 0 AND marks <= marks_available", name=op.f("ck_training_record_marks_within_available")
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_training_record_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_training_record_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "programme_id"],
            ["programme.organisation_id", "programme.id"],
            name=op.f("fk_training_record_organisation_id_programme_id_programme"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "sitting_id"],
            ["sitting.organisation_id", "sitting.id"],
            name=op.f("fk_training_record_organisation_id_sitting_id_sitting"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_training_record_organisation_id_organisation")
        ),
        sa.ForeignKeyConstraint(["revoked_by"], ["member.id"], name=op.f("fk_training_record_revoked_by_member")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_training_record")),
        sa.UniqueConstraint("code", name=op.f("uq_training_record_code")),
        sa.UniqueConstraint("sitting_id", name=op.f("uq_training_record_sitting_id")),
    )
    op.create_index(op.f("ix_training_record_member_id_issued_at"), "training_record", ["member_id", "issued_at"])
    op.create_index(
        op.f("ix_training_record_organisation_id_valid_until"), "training_record", ["organisation_id", "valid_until"]
    )
    op.create_index(op.f("ix_training_record_programme_id_issued_at"), "training_record", ["programme_id", "issued_at"])


def downgrade() -> None:
    """Takes the change back."""
    op.drop_table("training_record")
    op.drop_table("appeal")
    op.drop_table("paper_regrading")
    op.drop_table("moderation")
    op.drop_table("sitting_objective")
    op.drop_table("decision_outcome")
    op.drop_table("item_grading")
    op.drop_table("grading")
    op.drop_table("saved_answer")
    op.drop_table("sitting_item")
    op.drop_table("sitting_break")
    op.drop_table("sitting")
