"""The first shape of the database."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "meta",
        sa.Column("name", sa.String(64), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )
    op.create_table(
        "cases",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("reference", sa.Text, nullable=False, unique=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("format", sa.Integer, nullable=False),
        sa.Column("vehicle", sa.Text, nullable=False),
        sa.Column("opened_by", sa.Text, nullable=False),
        sa.Column("opened_at", sa.String(32), nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
        sa.Column("photo_count", sa.Integer, nullable=False),
        sa.Column("finding_count", sa.Integer, nullable=False),
        sa.Column("hv_flagged_count", sa.Integer, nullable=False),
        sa.Column("hv_flag", sa.Integer, nullable=False),
        sa.Column("risk", sa.Integer, nullable=True),
        sa.Column("search_text", sa.Text, nullable=False),
        # Last: SQLite would have to read over it to reach whatever came after.
        sa.Column("body", sa.Text, nullable=False),
        sa.CheckConstraint("revision >= 1", name="cases_revision_counts_from_1"),
    )
    op.create_index("cases_newest_first", "cases", [sa.text("changed_at DESC"), "id"])
    op.create_table(
        "journal",
        sa.Column("case_id", sa.String(64), sa.ForeignKey("cases.id"), primary_key=True),
        sa.Column("sequence", sa.Integer, primary_key=True),
        sa.Column("signed_by", sa.Text, nullable=False),
        sa.Column("signed_at", sa.String(32), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("detail", sa.Text, nullable=False),
        sa.Column("case_sha256", sa.String(64), nullable=False),
        sa.Column("previous_hash", sa.String(64), nullable=False),
        sa.Column("entry_hash", sa.String(64), nullable=False),
    )
    op.create_table(
        "case_blobs",
        sa.Column("case_id", sa.String(64), sa.ForeignKey("cases.id"), primary_key=True),
        sa.Column("sha256", sa.String(64), primary_key=True),
    )
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(64), primary_key=True),
        sa.Column("operator", sa.Text, nullable=False),
        sa.Column("last_used_at", sa.String(32), nullable=False),
    )
