"""People have accounts; a session is an account's. Everybody signs in anew after this step."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("sign_in_name", sa.String(64), nullable=False, unique=True),
        sa.Column("roles", sa.Text, nullable=False),
        sa.Column("password_hash", sa.Text, nullable=False),
        sa.Column("password_set_at", sa.String(32), nullable=True),
        sa.Column("must_choose", sa.Integer, nullable=False),
        sa.Column("outside_id", sa.Text, nullable=False),
        sa.Column("created_by", sa.Text, nullable=False),
        sa.Column("created_at", sa.String(32), nullable=False),
        sa.Column("disabled_by", sa.Text, nullable=True),
        sa.Column("disabled_at", sa.String(32), nullable=True),
    )
    op.create_table(
        "people_log",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("signed_by", sa.Text, nullable=False),
        sa.Column("signed_at", sa.String(32), nullable=False),
        sa.Column("account_id", sa.String(64), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("did", sa.Text, nullable=False),
    )
    op.drop_table("sessions")
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(64), primary_key=True),
        sa.Column("id", sa.String(64), nullable=False, unique=True),
        sa.Column("account_id", sa.String(64), nullable=False),
        sa.Column("opened_at", sa.String(32), nullable=False),
        sa.Column("last_used_at", sa.String(32), nullable=False),
        sa.Column("locked", sa.Integer, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
    )
    op.create_index("sessions_of_account", "sessions", ["account_id"])
