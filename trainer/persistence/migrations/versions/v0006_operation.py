"""Jobs, the audit chain, limits on rates, times of retention."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


# The audit chain only grows: the database itself refuses to change or remove an entry.
_SQLITE_GUARDS = (
    """CREATE TRIGGER audit_entry_is_never_changed BEFORE UPDATE ON audit_entry
    BEGIN SELECT RAISE(ABORT, 'the audit chain only grows'); END""",
    """CREATE TRIGGER audit_entry_is_never_removed BEFORE DELETE ON audit_entry
    BEGIN SELECT RAISE(ABORT, 'the audit chain only grows'); END""",
)
_POSTGRESQL_GUARDS = (
    """CREATE FUNCTION audit_entry_only_grows() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'the audit chain only grows'; END $$""",
    """CREATE TRIGGER audit_entry_is_never_changed BEFORE UPDATE OR DELETE OR TRUNCATE ON audit_entry
    FOR EACH STATEMENT EXECUTE FUNCTION audit_entry_only_grows()""",
)


def upgrade() -> None:
    """Applies the change."""
    op.create_table(
        "job",
        sa.Column("id", sa.String(length=43), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=True),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("payload_json", sa.Text(), nullable=False),
        sa.Column("result_json", sa.Text(), nullable=False),
        sa.Column("failure", sa.Text(), nullable=False),
        sa.Column("progress_done", sa.Integer(), nullable=False),
        sa.Column("progress_total", sa.Integer(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("asked_by", sa.String(length=43), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("cancel_asked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("runner", sa.String(length=80), nullable=True),
        sa.Column("alive_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'cancelled')", name=op.f("ck_job_state_is_known")
        ),
        sa.CheckConstraint(
            "progress_done >= 0 AND progress_done <= progress_total", name=op.f("ck_job_progress_within_total")
        ),
        sa.ForeignKeyConstraint(["asked_by"], ["person.id"], name=op.f("fk_job_asked_by_person"), ondelete="SET NULL"),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("fk_job_organisation_id_organisation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    op.create_index(op.f("ix_job_organisation_id_created_at"), "job", ["organisation_id", "created_at"])
    op.create_index(op.f("ix_job_state_created_at"), "job", ["state", "created_at"])
    op.create_table(
        "job_file",
        sa.Column("job_id", sa.String(length=43), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("media_type", sa.String(length=80), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_job_file_job_id_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job_id", "name", name=op.f("pk_job_file")),
    )
    op.create_table(
        "audit_entry",
        sa.Column("number", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("organisation_id", sa.String(length=43), nullable=True),
        sa.Column("actor_kind", sa.String(length=20), nullable=False),
        sa.Column("actor_id", sa.String(length=43), nullable=True),
        sa.Column("action", sa.String(length=80), nullable=False),
        sa.Column("subject_kind", sa.String(length=80), nullable=False),
        sa.Column("subject_id", sa.String(length=80), nullable=False),
        sa.Column("details_json", sa.Text(), nullable=False),
        sa.Column("previous_hash", sa.String(length=64), nullable=False),
        sa.Column("entry_hash", sa.String(length=64), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_audit_entry_number_from_one")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_audit_entry")),
    )
    op.create_index(op.f("ix_audit_entry_organisation_id_number"), "audit_entry", ["organisation_id", "number"])
    op.create_index(
        op.f("ix_audit_entry_subject_kind_subject_id_number"), "audit_entry", ["subject_kind", "subject_id", "number"]
    )
    op.create_table(
        "rate_count",
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("hits", sa.Integer(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_rate_count")),
    )
    op.create_index(op.f("ix_rate_count_expires_at"), "rate_count", ["expires_at"])
    op.create_table(
        "retention",
        sa.Column("organisation_id", sa.String(length=43), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("keep_days", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("keep_days >= 1", name=op.f("ck_retention_keep_days_positive")),
        sa.PrimaryKeyConstraint("organisation_id", "kind", name=op.f("pk_retention")),
    )

    on_postgresql = op.get_bind().dialect.name == "postgresql"
    for statement in _POSTGRESQL_GUARDS if on_postgresql else _SQLITE_GUARDS:
        op.execute(statement)


def downgrade() -> None:
    """Takes the change back."""
    op.drop_table("retention")
    op.drop_table("rate_count")
    op.drop_table("audit_entry")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION audit_entry_only_grows()")
    op.drop_table("job_file")
    op.drop_table("job")
