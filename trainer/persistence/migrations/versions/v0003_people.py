"""Organisations, accounts and groups."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "organisation",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("release_needs_second_person", sa.Boolean(), nullable=False),
        sa.Column("staff_need_second_factor", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("suspended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("kind IN ('college', 'firm')", name=op.f("ck_organisation_kind_is_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_organisation")),
        sa.UniqueConstraint("name", name=op.f("uq_organisation_name")),
    )
    op.create_table(
        "site",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_site_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_site_organisation_id_id")),
        sa.UniqueConstraint("organisation_id", "name", name=op.f("uq_site_organisation_id_name")),
    )
    op.create_table(
        "trade_role",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_trade_role_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trade_role")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_trade_role_organisation_id_id")),
        sa.UniqueConstraint("organisation_id", "name", name=op.f("uq_trade_role_organisation_id_name")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("sign_in_name", sa.String(length=254), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=True),
        sa.Column("display_name", sa.String(length=200), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=True),
        sa.Column("password_changed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("is_operator", sa.Boolean(), nullable=False),
        sa.Column("learner_id", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_signed_in_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["learner_id"], ["learner.id"], name=op.f("fk_person_learner_id_learner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("learner_id", name=op.f("uq_person_learner_id")),
        sa.UniqueConstraint("sign_in_name", name=op.f("uq_person_sign_in_name")),
    )
    op.create_table(
        "member",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("person_id", sa.String(length=43), nullable=True),
        sa.Column("display_name", sa.String(length=200), nullable=False),
        sa.Column("sort_name", sa.String(length=200), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=True),
        sa.Column("reference", sa.String(length=80), nullable=True),
        sa.Column("site_id", sa.String(length=43), nullable=True),
        sa.Column("trade_role_id", sa.String(length=43), nullable=True),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("state <> 'active' OR person_id IS NOT NULL", name=op.f("ck_member_active_has_a_person")),
        sa.CheckConstraint("state IN ('invited', 'active', 'ended')", name=op.f("ck_member_state_is_known")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "site_id"],
            ["site.organisation_id", "site.id"],
            name=op.f("fk_member_organisation_id_site_id_site"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "trade_role_id"],
            ["trade_role.organisation_id", "trade_role.id"],
            name=op.f("fk_member_organisation_id_trade_role_id_trade_role"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_member_organisation_id_organisation")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_member_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_member")),
        sa.UniqueConstraint("organisation_id", "email", name=op.f("uq_member_organisation_id_email")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_member_organisation_id_id")),
        sa.UniqueConstraint("organisation_id", "person_id", name=op.f("uq_member_organisation_id_person_id")),
        sa.UniqueConstraint("organisation_id", "reference", name=op.f("uq_member_organisation_id_reference")),
    )
    op.create_index(op.f("ix_member_organisation_id_sort_name_id"), "member", ["organisation_id", "sort_name", "id"])
    op.create_index(
        op.f("ix_member_organisation_id_state_sort_name"), "member", ["organisation_id", "state", "sort_name"]
    )
    op.create_index(op.f("ix_member_person_id"), "member", ["person_id"])
    op.create_table(
        "member_role",
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("granted_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "role IN ('learner', 'lecturer', 'training_manager', 'administrator')",
            name=op.f("ck_member_role_role_is_known"),
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_member_role_member_id_member"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("member_id", "role", name=op.f("pk_member_role")),
    )
    op.create_table(
        "study_group",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_study_group_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_study_group")),
        sa.UniqueConstraint("organisation_id", "id", name=op.f("uq_study_group_organisation_id_id")),
        sa.UniqueConstraint("organisation_id", "name", name=op.f("uq_study_group_organisation_id_name")),
    )
    op.create_table(
        "group_member",
        sa.Column("group_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("part", sa.String(length=20), nullable=False),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("part IN ('learns', 'teaches')", name=op.f("ck_group_member_part_is_known")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "group_id"],
            ["study_group.organisation_id", "study_group.id"],
            name=op.f("fk_group_member_organisation_id_group_id_study_group"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id", "member_id"],
            ["member.organisation_id", "member.id"],
            name=op.f("fk_group_member_organisation_id_member_id_member"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_group_member_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("group_id", "member_id", name=op.f("pk_group_member")),
    )
    op.create_index(op.f("ix_group_member_member_id"), "group_member", ["member_id"])
    op.create_table(
        "join_code",
        sa.Column("code", sa.String(length=20), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("group_id", sa.String(length=43), nullable=False),
        sa.Column("made_by", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("uses", sa.Integer(), nullable=False),
        sa.Column("uses_allowed", sa.Integer(), nullable=False),
        sa.CheckConstraint("uses <= uses_allowed", name=op.f("ck_join_code_uses_within_allowed")),
        sa.ForeignKeyConstraint(["made_by"], ["member.id"], name=op.f("fk_join_code_made_by_member")),
        sa.ForeignKeyConstraint(
            ["organisation_id", "group_id"],
            ["study_group.organisation_id", "study_group.id"],
            name=op.f("fk_join_code_organisation_id_group_id_study_group"),
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_join_code_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_join_code")),
    )
    op.create_index(op.f("ix_join_code_group_id"), "join_code", ["group_id"])
    op.create_table(
        "signed_in",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=43), nullable=False),
        sa.Column("member_id", sa.String(length=43), nullable=True),
        sa.Column("device", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("second_factor_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_signed_in_member_id_member"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_signed_in_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signed_in")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_signed_in_token_hash")),
    )
    op.create_index(op.f("ix_signed_in_expires_at"), "signed_in", ["expires_at"])
    op.create_index(op.f("ix_signed_in_person_id"), "signed_in", ["person_id"])
    op.create_table(
        "single_use_token",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("purpose", sa.String(length=20), nullable=False),
        sa.Column("person_id", sa.String(length=43), nullable=True),
        sa.Column("member_id", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("purpose IN ('invitation', 'reset')", name=op.f("ck_single_use_token_purpose_is_known")),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_single_use_token_member_id_member"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_single_use_token_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_single_use_token")),
    )
    op.create_index(op.f("ix_single_use_token_expires_at"), "single_use_token", ["expires_at"])
    op.create_index(op.f("ix_single_use_token_member_id"), "single_use_token", ["member_id"])
    op.create_index(op.f("ix_single_use_token_person_id"), "single_use_token", ["person_id"])
    op.create_table(
        "second_factor",
        sa.Column("person_id", sa.String(length=43), nullable=False),
        sa.Column("salt", sa.String(length=43), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("confirmed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_step", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_second_factor_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_second_factor")),
    )
    op.create_table(
        "recovery_code",
        sa.Column("person_id", sa.String(length=43), nullable=False),
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_recovery_code_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", "code_hash", name=op.f("pk_recovery_code")),
    )


def downgrade() -> None:
    """Takes the change back."""
    op.drop_table("recovery_code")
    op.drop_table("second_factor")
    op.drop_table("single_use_token")
    op.drop_table("signed_in")
    op.drop_table("join_code")
    op.drop_table("group_member")
    op.drop_table("study_group")
    op.drop_table("member_role")
    op.drop_table("member")
    op.drop_table("person")
    op.drop_table("trade_role")
    op.drop_table("site")
    op.drop_table("organisation")
