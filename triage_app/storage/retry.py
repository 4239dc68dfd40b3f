"""Try a change again when somebody else wrote in between."""

import random
import time
from collections.abc import Callable
from typing import TypeVar

from sqlalchemy.exc import DBAPIError, IntegrityError

from triage_app.storage.faults import database_errors

ATTEMPTS = 4
_FIRST_PAUSE_S = 0.02
# Codes of the SQL standard that PostgreSQL gives: serialization failure, deadlock.
_TRY_AGAIN = {"40001", "40P01"}

Result = TypeVar("Result")


class WrittenMeanwhileError(Exception):
    """The row changed between reading and writing it."""


def retried(change: Callable[[], Result]) -> Result:
    """Return what ``change`` returns; StorageError when the database stays busy or fails."""
    for attempt in range(1, ATTEMPTS):
        try:
            return change()
        except WrittenMeanwhileError:
            _pause(attempt)
        except DBAPIError as error:
            if not _may_pass(error):
                break
            _pause(attempt)
    with database_errors():
        return change()


def _may_pass(error: DBAPIError) -> bool:
    said = str(error.orig).lower()
    return (
        isinstance(error, IntegrityError)
        or "locked" in said
        or getattr(error.orig, "sqlstate", None) in _TRY_AGAIN
    )


def _pause(attempt: int) -> None:
    time.sleep(_FIRST_PAUSE_S * 2**attempt * random.uniform(0.5, 1.0))  # noqa: S311 - no secret
