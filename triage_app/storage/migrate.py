"""Bring a database to the shape that this program knows, or refuse it."""

from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from triage_app.domain.errors import StorageError
from triage_app.storage.engine import is_sqlite, writing
from triage_app.storage.retry import retried
from triage_app.storage.tables import SCHEMA_REVISION

_STEPS = Path(__file__).parent / "migrations"
_ADVISORY_LOCK = 715_2001


def bring_up_to_date(engine: Engine) -> None:
    """Make or upgrade the tables in one transaction; StorageError if the database is not ours."""
    # Several programs may open a new database at once; those that come second try again.
    retried(lambda: _bring_up_to_date(engine))


def _bring_up_to_date(engine: Engine) -> None:
    with engine.connect() as connection:
        if _revision(connection) == SCHEMA_REVISION:
            return
    with writing(engine) as connection:
        if not is_sqlite(engine):
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
        # Another program may have done it while this one waited for its turn.
        if _revision(connection) != SCHEMA_REVISION:
            _run_steps(connection)


def _revision(connection: Connection) -> str | None:
    """Return the revision of the tables, or None for an empty database."""
    names = set(inspect(connection).get_table_names())
    if not names:
        return None
    if "alembic_version" not in names or "cases" not in names:
        raise StorageError(
            "This database belongs to another program: it has tables, and none of them is ours."
        )
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    revision = str(found)
    if revision > SCHEMA_REVISION:
        raise StorageError(
            f"This database was made by a newer version of this program (revision {revision}; "
            f"this version knows {SCHEMA_REVISION}). Update the program and try again."
        )
    return revision


def _run_steps(connection: Connection) -> None:
    # Alembic is slow to import, and needed only when there is something to do.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(_STEPS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
