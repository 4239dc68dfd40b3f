"""Write a file on a local disk so that its name, once there, has all its bytes behind it."""

import os
import time
import uuid
from pathlib import Path

from triage_app.storage import steps
from triage_app.storage.faults import file_errors
from triage_app.storage.steps import Step

# A part that is older belongs to no write that still goes on: its program was killed.
_DEAD_AFTER_S = 24 * 3600


class DurableFolder:
    """Files are written in ``incoming``, synced, and only then given their name."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._incoming = folder / "incoming"
        with file_errors(f"The folder '{folder}'"):
            self._incoming.mkdir(parents=True, exist_ok=True)
            self._sweep()

    def _sweep(self) -> None:
        for part in self._incoming.glob("*.part"):
            if time.time() - part.stat().st_mtime > _DEAD_AFTER_S:
                part.unlink(missing_ok=True)

    def write(self, path: str, data: bytes) -> None:
        """Store ``data`` at ``path`` below the folder; raises OSError, and then nothing is there.

        The same bytes again only get a new date, so that no tidying takes them away meanwhile; a
        damaged file of this name is replaced.
        """
        final = Path(path)
        if final.exists() and final.read_bytes() == data:
            os.utime(final)
        else:
            final.parent.mkdir(parents=True, exist_ok=True)
            self._write_new(final, data)
        for folder in (final.parent, final.parent.parent, self._folder):
            sync_folder(folder)
        steps.reached(Step.BLOB_NAMED)

    def _write_new(self, final: Path, data: bytes) -> None:
        part = self._incoming / f"{uuid.uuid4().hex}.part"
        steps.reached(Step.BLOB_BEGUN)
        try:
            with part.open("xb") as file:
                file.write(data)
                file.flush()
                steps.reached(Step.BLOB_WRITTEN)
                os.fsync(file.fileno())
            steps.reached(Step.BLOB_SYNCED)
            part.replace(final)
        finally:
            part.unlink(missing_ok=True)


def sync_file(file: Path) -> None:
    """Make the bytes of a file survive a loss of power."""
    with file.open("rb+") as opened:
        os.fsync(opened.fileno())


def sync_folder(folder: Path) -> None:
    """Make the names in a folder survive a loss of power."""
    if os.name == "nt":
        return  # Windows opens no folder as a file; NTFS keeps its own journal of names.
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
