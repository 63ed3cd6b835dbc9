"""Results of judging attempts again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "regrading",
        sa.Column("attempt_id", sa.String(length=43), nullable=False),
        sa.Column("rule_set_version", sa.String(length=20), nullable=False),
        sa.Column("edition", sa.String(length=20), nullable=False),
        sa.Column("grade_json", sa.LargeBinary(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("marks_available", sa.Integer(), nullable=False),
        sa.Column("safe_to_energise", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("regraded_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("marks >= 0 AND marks <= marks_available", name=op.f("ck_regrading_marks_within_available")),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_regrading_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("attempt_id", "rule_set_version", "edition", name=op.f("pk_regrading")),
    )


def downgrade() -> None:
    """Takes the change back."""
    op.drop_table("regrading")
