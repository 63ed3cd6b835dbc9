"""What the log says of one person, found without going through all of it."""

from __future__ import annotations

from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Applies the change."""
    op.create_index("ix_audit_entry_actor_id_number", "audit_entry", ["actor_id", "number"])
    op.create_index("ix_audit_entry_subject_id_number", "audit_entry", ["subject_id", "number"])


def downgrade() -> None:
    """Takes the change back."""
    op.drop_index("ix_audit_entry_subject_id_number", table_name="audit_entry")
    op.drop_index("ix_audit_entry_actor_id_number", table_name="audit_entry")
