"""The tables, once for SQLite and PostgreSQL. ``migrations`` brings a database to this shape.

A case is one JSON text; the other columns of ``cases`` are what lists need, so that a list reads
no case. Times are text in UTC of one width, which sorts as time does.
"""

from datetime import UTC, datetime

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

SCHEMA_REVISION = "0002"

metadata = MetaData()

meta = Table(
    "meta",
    metadata,
    Column("name", String(64), primary_key=True),
    Column("value", Text, nullable=False),
)

cases = Table(
    "cases",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("reference", Text, nullable=False, unique=True),
    Column("revision", Integer, nullable=False),
    Column("format", Integer, nullable=False),
    Column("vehicle", Text, nullable=False),
    Column("opened_by", Text, nullable=False),
    Column("opened_at", String(32), nullable=False),
    Column("changed_at", String(32), nullable=False),
    Column("photo_count", Integer, nullable=False),
    Column("finding_count", Integer, nullable=False),
    Column("hv_flagged_count", Integer, nullable=False),
    Column("hv_flag", Integer, nullable=False),
    Column("risk", Integer, nullable=True),
    Column("search_text", Text, nullable=False),
    # Last: SQLite would have to read over it to reach whatever came after.
    Column("body", Text, nullable=False),
    CheckConstraint("revision >= 1", name="cases_revision_counts_from_1"),
)
newest_first = Index("cases_newest_first", cases.c.changed_at.desc(), cases.c.id)

journal = Table(
    "journal",
    metadata,
    Column("case_id", String(64), ForeignKey("cases.id"), primary_key=True),
    Column("sequence", Integer, primary_key=True),
    Column("signed_by", Text, nullable=False),
    Column("signed_at", String(32), nullable=False),
    Column("kind", Text, nullable=False),
    Column("detail", Text, nullable=False),
    Column("case_sha256", String(64), nullable=False),
    Column("previous_hash", String(64), nullable=False),
    Column("entry_hash", String(64), nullable=False),
)

case_blobs = Table(
    "case_blobs",
    metadata,
    Column("case_id", String(64), ForeignKey("cases.id"), primary_key=True),
    Column("sha256", String(64), primary_key=True),
)

accounts = Table(
    "accounts",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", Text, nullable=False),
    Column("sign_in_name", String(64), nullable=False, unique=True),
    Column("roles", Text, nullable=False),
    Column("password_hash", Text, nullable=False),
    Column("password_set_at", String(32), nullable=True),
    Column("must_choose", Integer, nullable=False),
    Column("outside_id", Text, nullable=False),
    Column("created_by", Text, nullable=False),
    Column("created_at", String(32), nullable=False),
    Column("disabled_by", Text, nullable=True),
    Column("disabled_at", String(32), nullable=True),
)

people_log = Table(
    "people_log",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("signed_by", Text, nullable=False),
    Column("signed_at", String(32), nullable=False),
    Column("account_id", String(64), nullable=False),
    Column("name", Text, nullable=False),
    Column("did", Text, nullable=False),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_sha256", String(64), primary_key=True),
    Column("id", String(64), nullable=False, unique=True),
    Column("account_id", String(64), nullable=False),
    Column("opened_at", String(32), nullable=False),
    Column("last_used_at", String(32), nullable=False),
    Column("locked", Integer, nullable=False),
    Column("device", Text, nullable=False),
    Column("address", Text, nullable=False),
)
sessions_of_account = Index("sessions_of_account", sessions.c.account_id)


def stored_time(at: datetime) -> str:
    """Return a time as the tables hold it."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def read_time(text: str) -> datetime:
    return datetime.fromisoformat(text)
