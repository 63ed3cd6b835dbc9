"""First tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "learner",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_learner")),
    )
    op.create_table(
        "task",
        sa.Column("content_hash", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("generator_version", sa.String(length=20), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("archetype", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("seed >= 0", name=op.f("ck_task_seed_not_negative")),
        sa.PrimaryKeyConstraint("content_hash", name=op.f("pk_task")),
    )
    op.create_table(
        "page",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("content_hash", sa.String(length=64), nullable=False),
        sa.Column("learner_id", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["content_hash"], ["task.content_hash"], name=op.f("fk_page_content_hash_task")),
        sa.ForeignKeyConstraint(["learner_id"], ["learner.id"], name=op.f("fk_page_learner_id_learner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_page")),
    )
    with op.batch_alter_table("page", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_page_content_hash"), ["content_hash"], unique=False)
        batch_op.create_index(batch_op.f("ix_page_learner_id"), ["learner_id"], unique=False)

    op.create_table(
        "attempt",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("page_id", sa.String(length=43), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("learner_id", sa.String(length=43), nullable=True),
        sa.Column("answers_json", sa.Text(), nullable=False),
        sa.Column("certainty_json", sa.Text(), nullable=False),
        sa.Column("grade_json", sa.LargeBinary(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("safe_to_energise", sa.Boolean(), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("submitted_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("marks >= 0 AND marks <= marks_available", name=op.f("ck_attempt_marks_within_available")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_attempt_number_from_one")),
        sa.ForeignKeyConstraint(["learner_id"], ["learner.id"], name=op.f("fk_attempt_learner_id_learner")),
        sa.ForeignKeyConstraint(["page_id"], ["page.id"], name=op.f("fk_attempt_page_id_page")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
        sa.UniqueConstraint("page_id", "number", name=op.f("uq_attempt_page_id_number")),
    )
    with op.batch_alter_table("attempt", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_attempt_learner_id_submitted_at"), ["learner_id", "submitted_at"], unique=False
        )

    op.create_table(
        "objective_outcome",
        sa.Column("attempt_id", sa.String(length=43), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("learner_id", sa.String(length=43), nullable=True),
        sa.Column("objective_id", sa.String(length=80), nullable=False),
        sa.Column("misconception_id", sa.String(length=80), nullable=True),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["attempt_id"],
            ["attempt.id"],
            name=op.f("fk_objective_outcome_attempt_id_attempt"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(["learner_id"], ["learner.id"], name=op.f("fk_objective_outcome_learner_id_learner")),
        sa.PrimaryKeyConstraint("attempt_id", "position", name=op.f("pk_objective_outcome")),
    )
    with op.batch_alter_table("objective_outcome", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_objective_outcome_learner_id_objective_id"),
            ["learner_id", "objective_id"],
            unique=False,
        )


def downgrade() -> None:
    """Takes the change back."""
    with op.batch_alter_table("objective_outcome", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_objective_outcome_learner_id_objective_id"))

    op.drop_table("objective_outcome")
    with op.batch_alter_table("attempt", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_attempt_learner_id_submitted_at"))

    op.drop_table("attempt")
    with op.batch_alter_table("page", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_page_learner_id"))
        batch_op.drop_index(batch_op.f("ix_page_content_hash"))

    op.drop_table("page")
    op.drop_table("task")
    op.drop_table("learner")
