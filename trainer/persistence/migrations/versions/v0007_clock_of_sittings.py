"""The clock of sittings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.add_column("sitting", sa.Column("rest_breaks_s", sa.Integer(), server_default="0", nullable=False))
    op.add_column("sitting", sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    """Takes the change back."""
    with op.batch_alter_table("sitting", schema=None) as batch_op:
        batch_op.drop_column("last_seen_at")
        batch_op.drop_column("rest_breaks_s")
