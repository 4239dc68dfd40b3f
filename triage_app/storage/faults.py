"""Errors of databases and file systems, each as one sentence of ours."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from triage_app.domain.errors import StorageError

DISK_FULL = "The disk is full; nothing was stored. Make room and try again."
READ_ONLY = "The data folder cannot be written; nothing was stored. Check its permissions."

_DATABASE_SENTENCES = (
    ("database or disk is full", DISK_FULL),
    ("readonly database", READ_ONLY),
    ("attempt to write a readonly", READ_ONLY),
    ("read-only transaction", READ_ONLY),
    ("unable to open database file", "The database cannot be opened. Check the data folder."),
    ("disk i/o error", "The disk gave an error; nothing was stored. Check the disk."),
    (
        "malformed",
        "The database is damaged. Leave it as it is, and restore the last backup elsewhere.",
    ),
    ("file is not a database", "The file at this place is not a database of this program."),
    ("locked", "The database is busy; nothing was stored. Try again."),
)


@contextmanager
def database_errors() -> Iterator[None]:
    """Turn what the database raises into StorageError."""
    try:
        yield
    except SQLAlchemyError as error:
        raise StorageError(database_sentence(error)) from error


def database_sentence(error: SQLAlchemyError) -> str:
    # Only the driver's own words: SQLAlchemy's text repeats the statement and its values.
    said = str(error.orig) if isinstance(error, DBAPIError) else str(error)
    first_line = said.strip().splitlines()[0] if said.strip() else type(error).__name__
    for part, sentence in _DATABASE_SENTENCES:
        if part in first_line.lower():
            return sentence
    return f"The database cannot be used: {first_line.rstrip('.')}."


@contextmanager
def file_errors(what: str) -> Iterator[None]:
    """Turn what the file system raises into StorageError; ``what`` names the place."""
    try:
        yield
    except OSError as error:
        raise StorageError(_file_sentence(what, error)) from error


def _file_sentence(what: str, error: OSError) -> str:
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return DISK_FULL
    if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return f"{what} cannot be written or read; nothing was stored. Check its permissions."
    reason = error.strerror or str(error) or type(error).__name__
    return f"{what} cannot be used: {reason}."
