"""Files that a user names: read whole or refused, written whole or not at all."""

import os
import tempfile
from pathlib import Path

from triage_app.domain.errors import InvalidInputError


def read_file(path: Path, *, at_most_bytes: int) -> bytes:
    """Return the bytes of a user's file; InvalidInputError says why it cannot be read."""
    try:
        if not path.is_file():
            what = "is not a file" if path.exists() else "does not exist"
            raise InvalidInputError(f"'{path}' {what}.")
        if path.stat().st_size > at_most_bytes:
            raise InvalidInputError(f"'{path}' is larger than {at_most_bytes // 10**6} MB.")
        return path.read_bytes()
    except OSError as error:
        raise InvalidInputError(f"'{path}' cannot be read: {error.strerror}.") from error


def check_writable(path: Path) -> None:
    """Raise InvalidInputError where ``path`` cannot become a file, before work is done for it."""
    try:
        if path.is_dir():
            raise InvalidInputError(f"'{path}' is a folder; name a file.")
        if path.exists() and not path.is_file():
            # Writing puts a new file in its place, which would take a device or pipe away.
            raise InvalidInputError(f"'{path}' is not a file; name a file.")
        with tempfile.TemporaryFile(dir=path.parent):
            pass
    except OSError as error:
        raise InvalidInputError(f"'{path}' cannot be written: {error.strerror}.") from error


def write_file(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` whole or not at all; what was there before stays until then."""
    check_writable(path)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".underbody-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            # mkstemp makes it private; a report is for others to read, as other new files are.
            mask = os.umask(0)
            os.umask(mask)
            Path(name).chmod(0o666 & ~mask)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise InvalidInputError(f"'{path}' cannot be written: {error.strerror}.") from error
