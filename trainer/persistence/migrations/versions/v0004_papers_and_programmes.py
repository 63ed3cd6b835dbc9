"""Papers, refresher programmes, each learner's plan."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "paper",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("blueprint_json", sa.Text(), nullable=False),
        sa.Column("mode", sa.String(length=20), nullable=False),
        sa.Column("opens_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("closes_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("time_limit_s", sa.Integer(), nullable=True),
        sa.Column("attempts_allowed", sa.Integer(), nullable=False),
        sa.Column("access_code", sa.String(length=20), nullable=True),
        sa.Column("pass_percent", sa.Integer(), nullable=True),
        sa.Column("critical_errors_fail", sa.Boolean(), nullable=False),
        sa.Column("release_policy", sa.String(length=20), nullable=False),
        sa.Column("release_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("variant_key", sa.String(length=43), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("generator_version", sa.String(length=20), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("release_asked_by", sa.String(length=43), nullable=True),
        sa.Column("release_asked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("released_by", sa.String(length=43), nullable=True),
        sa.Column("released_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("mode IN ('practice', 'graded', 'supervised')", name=op.f("ck_paper_mode_is_known")),
        sa.CheckConstraint("release_policy IN ('by_hand', 'on_date')", name=op.f("ck_paper_release_policy_is_known")),
        sa.CheckConstraint(
            "state IN ('draft', 'locked', 'open', 'closed', 'moderated', 'released')",
            name=op.f("ck_paper_state_is_known"),
        ),
        sa.CheckConstraint("attempts_allowed >= 1", name=op.f("ck_paper_attempts_from_one")),
        sa.CheckConstraint(
            "opens_at IS NULL OR closes_at IS NULL OR opens_at < closes_at", name=op.f("ck_paper_window_has_a_length")
        ),
        sa.CheckConstraint(
            "pass_percent IS NULL OR pass_percent BETWEEN 0 AND 100", name=op.f("ck_paper_pass_percent_in_range")
        ),
        sa.CheckConstraint("revision >= 1", name=op.f("ck_paper_revision_from_one")),
        sa.CheckConstraint("time_limit_s IS NULL OR time_limit_s > 0", name=op.f("ck_paper_time_limit_positive")),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_paper_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_paper_organisation_id_organisation")
        ),
        sa.ForeignKeyConstraint(["release_asked_by"], ["member.id"], name=op.f("fk_paper_release_asked_by_member")),
        sa.ForeignKeyConstraint(["released_by"], ["member.id"], name=op.f("fk_paper_released_by_member")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_paper_organisation_id_id")),
    )
    op.create_index(
        op.f("ix_paper_organisation_id_state_created_at"), "paper", ["organisation_id", "state", "created_at"]
    )
    op.create_index(op.f("ix_paper_state_closes_at"), "paper", ["state", "closes_at"])
    op.create_index(op.f("ix_paper_state_opens_at"), "paper", ["state", "opens_at"])
    op.create_index(op.f("ix_paper_state_release_at"), "paper", ["state", "release_at"])
    op.create_table(
        "paper_group",
        sa.Column("paper_id", sa.String(length=43), nullable=False),
        sa.Column("group_id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id", "group_id"],
            ["study_group.organisation_id", "study_group.id"],
            name=op.f("fk_paper_group_organisation_id_group_id_study_group"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_paper_group_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_paper_group_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("paper_id", "group_id", name=op.f("pk_paper_group")),
    )
    op.create_index(op.f("ix_paper_group_group_id"), "paper_group", ["group_id"])
    op.create_table(
        "paper_variant_item",
        sa.Column("paper_id", sa.String(length=43), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("slot", sa.Integer(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("content_hash", sa.String(length=64), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_paper_variant_item_number_from_one")),
        sa.ForeignKeyConstraint(
            ["content_hash"], ["task.content_hash"], name=op.f("fk_paper_variant_item_content_hash_task")
        ),
        sa.ForeignKeyConstraint(
            ["paper_id"], ["paper.id"], name=op.f("fk_paper_variant_item_paper_id_paper"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("paper_id", "number", "position", name=op.f("pk_paper_variant_item")),
    )
    op.create_index(op.f("ix_paper_variant_item_content_hash"), "paper_variant_item", ["content_hash"])
    op.create_table(
        "access_arrangement",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("paper_id", sa.String(length=43), nullable=True),
        sa.Column("extra_time_percent", sa.Integer(), nullable=False),
        sa.Column("rest_breaks_s", sa.Integer(), nullable=False),
        sa.Column("larger_text", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("extra_time_percent >= 0", name=op.f("ck_access_arrangement_extra_time_not_negative")),
        sa.CheckConstraint("rest_breaks_s >= 0", name=op.f("ck_access_arrangement_rest_breaks_not_negative")),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_access_arrangement_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_access_arrangement_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "paper_id"],
            ["paper.organisation_id", "paper.id"],
            name=op.f("fk_access_arrangement_organisation_id_paper_id_paper"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_access_arrangement_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_access_arrangement")),
    )
    op.create_index(
        op.f("ix_access_arrangement_organisation_id_member_id"), "access_arrangement", ["organisation_id", "member_id"]
    )
    op.create_index(op.f("ix_access_arrangement_paper_id"), "access_arrangement", ["paper_id"])
    op.create_table(
        "paper_figures",
        sa.Column("paper_id", sa.String(length=43), nullable=False),
        sa.Column("group_id", sa.String(length=43), nullable=False),
        sa.Column("figures_json", sa.LargeBinary(), nullable=False),
        sa.Column("sittings", sa.Integer(), nullable=False),
        sa.Column("basis_hash", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["paper_id"], ["paper.id"], name=op.f("fk_paper_figures_paper_id_paper"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("paper_id", "group_id", name=op.f("pk_paper_figures")),
    )
    op.create_table(
        "programme",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("cycle_days", sa.Integer(), nullable=False),
        sa.Column("warning_days", sa.Integer(), nullable=False),
        sa.Column("pass_percent", sa.Integer(), nullable=False),
        sa.Column("critical_errors_fail", sa.Boolean(), nullable=False),
        sa.Column("items", sa.Integer(), nullable=False),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("draw_json", sa.Text(), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("state IN ('draft', 'active', 'ended')", name=op.f("ck_programme_state_is_known")),
        sa.CheckConstraint("cycle_days >= 1", name=op.f("ck_programme_cycle_positive")),
        sa.CheckConstraint("items >= 1", name=op.f("ck_programme_items_from_one")),
        sa.CheckConstraint("pass_percent BETWEEN 0 AND 100", name=op.f("ck_programme_pass_percent_in_range")),
        sa.CheckConstraint("revision >= 1", name=op.f("ck_programme_revision_from_one")),
        sa.CheckConstraint(
            "warning_days >= 0 AND warning_days <= cycle_days", name=op.f("ck_programme_warning_within_cycle")
        ),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_programme_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_programme_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_programme")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_programme_organisation_id_id")),
    )
    op.create_index(op.f("ix_programme_organisation_id_state"), "programme", ["organisation_id", "state"])
    op.create_table(
        "programme_objective",
        sa.Column("programme_id", sa.String(length=43), nullable=False),
        sa.Column("trade_role_id", sa.String(length=43), nullable=False),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id", "programme_id"],
            ["programme.organisation_id", "programme.id"],
            name=op.f("fk_programme_objective_organisation_id_programme_id_programme"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "trade_role_id"],
            ["trade_role.organisation_id", "trade_role.id"],
            name=op.f("fk_programme_objective_organisation_id_trade_role_id_trade_role"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_programme_objective_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("programme_id", "trade_role_id", "objective_id", name=op.f("pk_programme_objective")),
    )
    op.create_index(op.f("ix_programme_objective_trade_role_id"), "programme_objective", ["trade_role_id"])
    op.create_table(
        "programme_site",
        sa.Column("programme_id", sa.String(length=43), nullable=False),
        sa.Column("site_id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id", "programme_id"],
            ["programme.organisation_id", "programme.id"],
            name=op.f("fk_programme_site_organisation_id_programme_id_programme"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "site_id"],
            ["site.organisation_id", "site.id"],
            name=op.f("fk_programme_site_organisation_id_site_id_site"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_programme_site_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("programme_id", "site_id", name=op.f("pk_programme_site")),
    )
    op.create_index(op.f("ix_programme_site_site_id"), "programme_site", ["site_id"])
    op.create_table(
        "assignment",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("programme_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_passed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_edition", sa.String(length=20), nullable=True),
        sa.Column("excused_reason", sa.Text(), nullable=False),
        sa.Column("assigned_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("state IN ('active', 'excused', 'ended')", name=op.f("ck_assignment_state_is_known")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_assignment_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "programme_id"],
            ["programme.organisation_id", "programme.id"],
            name=op.f("fk_assignment_organisation_id_programme_id_programme"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_assignment_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assignment")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_assignment_organisation_id_id")),
        sa.UniqueConstraint("programme_id", "member_id", name=op.f("uq_assignment_programme_id_member_id")),
    )
    op.create_index(op.f("ix_assignment_member_id"), "assignment", ["member_id"])
    op.create_index(
        op.f("ix_assignment_organisation_id_state_due_at"), "assignment", ["organisation_id", "state", "due_at"]
    )
    op.create_index(op.f("ix_assignment_programme_id_state_due_at"), "assignment", ["programme_id", "state", "due_at"])
    op.create_index(op.f("ix_assignment_state_due_at"), "assignment", ["state", "due_at"])
    op.create_table(
        "reminder",
        sa.Column("assignment_id", sa.String(length=43), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["assignment_id"], ["assignment.id"], name=op.f("fk_reminder_assignment_id_assignment"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("assignment_id", "kind", "due_at", name=op.f("pk_reminder")),
    )
    op.create_table(
        "schedule_card",
        sa.Column("learner_id", sa.String(length=43), nullable=False),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("state_json", sa.Text(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_reviewed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("reviews", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_schedule_card_learner_id_learner"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("learner_id", "objective_id", name=op.f("pk_schedule_card")),
    )
    op.create_index(op.f("ix_schedule_card_learner_id_due_at"), "schedule_card", ["learner_id", "due_at"])
    op.create_table(
        "schedule_review",
        sa.Column("learner_id", sa.String(length=43), nullable=False),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("source_id", sa.String(length=80), nullable=False),
        sa.Column("rating", sa.String(length=20), nullable=False),
        sa.Column("reviewed_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_schedule_review_learner_id_learner"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("learner_id", "objective_id", "source_id", name=op.f("pk_schedule_review")),
    )
    op.create_table(
        "objective_standing",
        sa.Column("learner_id", sa.String(length=43), nullable=False),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("decisions", sa.Integer(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "marks >= 0 AND marks <= marks_available", name=op.f("ck_objective_standing_marks_within_available")
        ),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_objective_standing_learner_id_learner"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("learner_id", "objective_id", name=op.f("pk_objective_standing")),
    )


def downgrade() -> None:
    """Takes the change back."""
    op.drop_table("objective_standing")
    op.drop_table("schedule_review")
    op.drop_table("schedule_card")
    op.drop_table("reminder")
    op.drop_table("assignment")
    op.drop_table("programme_site")
    op.drop_table("programme_objective")
    op.drop_table("programme")
    op.drop_table("paper_figures")
    op.drop_table("access_arrangement")
    op.drop_table("paper_variant_item")
    op.drop_table("paper_group")
    op.drop_table("paper")
