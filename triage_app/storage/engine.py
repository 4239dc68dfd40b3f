"""A database URL -> an SQLAlchemy engine that writes durably and never reads a half change."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from triage_app.domain.errors import StorageError
from triage_app.storage.faults import file_errors
from triage_app.storage.network_shares import refuse_network_share

BUSY_TIMEOUT_MS = 5_000
_WRITES = "underbody_writes"


def open_engine(url_text: str) -> Engine:
    """Return an engine for a ``sqlite:`` or ``postgresql:`` URL; raises StorageError."""
    url = _parsed(url_text)
    backend = url.get_backend_name()
    if backend == "sqlite":
        return _sqlite_engine(url)
    if backend == "postgresql":
        return _create(url, pool_pre_ping=True)
    raise StorageError(
        f"Cases cannot be kept at '{backend}:'. Use sqlite:///, postgresql:// or memory://."
    )


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Open a transaction that holds the right to write from its start."""
    with engine.execution_options(**{_WRITES: True}).begin() as connection:
        yield connection


@contextmanager
def one_moment(engine: Engine) -> Iterator[Connection]:
    """Open a connection whose reads all see the database as it was at the first of them."""
    with engine.connect() as connection:
        if not is_sqlite(engine):  # SQLite reads so by itself, once it has begun.
            connection.execution_options(isolation_level="REPEATABLE READ")
        yield connection


def is_sqlite(engine: Engine) -> bool:
    return engine.dialect.name == "sqlite"


def sqlite_path(url_text: str) -> Path | None:
    """Return the file that a SQLite URL names, or None for any other database."""
    url = _parsed(url_text)
    return Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None


def _parsed(url_text: str) -> URL:
    try:
        return make_url(url_text)
    except ArgumentError as error:
        # Not repeated here: such an address may hold a password.
        raise StorageError(
            "The address of the database cannot be read. Write it as in sqlite:///data/cases.db."
        ) from error


def _create(url: URL, **options: Any) -> Engine:  # SQLAlchemy's options have no common type
    try:
        return create_engine(url, **options)
    except NoSuchModuleError as error:
        raise StorageError(f"There is no database driver '{url.drivername}'.") from error
    except ModuleNotFoundError as error:
        raise StorageError(
            f"Cases at '{url.get_backend_name()}:' need the Python package '{error.name}', which "
            "is not installed."
        ) from error


def _sqlite_engine(url: URL) -> Engine:
    if not url.database or url.database == ":memory:":
        raise StorageError("Name a file, as in sqlite:///data/cases.db, or use memory://.")
    file = Path(url.database)
    if str(file).startswith("file:"):
        raise StorageError("Name the database as a plain path, as in sqlite:///data/cases.db.")
    with file_errors(f"The data folder '{file.parent}'"):
        file.parent.mkdir(parents=True, exist_ok=True)
        refuse_network_share(file.parent)
    engine = _create(url, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # Our own BEGIN is sent below: the driver's would come too late to hold the right to write.
    connection.isolation_level = None
    cursor = connection.cursor()
    try:
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
    finally:
        cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
