"""Bytes under their own SHA-256, through fsspec: ``ab/cd/abcd…``. What is stored never changes."""

import re
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Protocol

from triage_app.casefile.canonical import sha256_of
from triage_app.domain.errors import NotFoundError, StorageError
from triage_app.domain.ids import Sha256, checked_sha256
from triage_app.storage.faults import file_errors

_NAME = re.compile(r"[0-9a-f]{64}")
_WHERE = "The folder of photos and reports"


class Files(Protocol):
    """The part of an fsspec file system that is used here."""

    def cat_file(self, path: str) -> bytes: ...

    def find(self, path: str, *, detail: bool) -> Mapping[str, Mapping[str, object]]: ...

    def isfile(self, path: str) -> bool: ...

    def rm_file(self, path: str) -> None: ...


class Blobs:
    """``write`` must store a file whole or not at all, and be done when it returns."""

    def __init__(self, files: Files, root: str, write: Callable[[str, bytes], None]) -> None:
        self._files = files
        self._root = root.rstrip("/")
        self._write = write

    def put(self, data: bytes) -> Sha256:
        name = sha256_of(data)
        with file_errors(_WHERE):
            self._write(self._path(name), data)
        return name

    def get(self, sha256: Sha256) -> bytes:
        checked_sha256(sha256)
        with file_errors(_WHERE):
            data = self._read(sha256)
        if data is None:
            raise NotFoundError(f"The file {sha256[:12]}… is not in the folder of photos.")
        if sha256_of(data) != sha256:
            raise StorageError(
                f"The file {sha256[:12]}… is damaged: its bytes are not those that were stored. "
                "Restore it from a backup, or add the photo again."
            )
        return data

    def exists(self, sha256: Sha256) -> bool:
        with file_errors(_WHERE):
            return self._files.isfile(self._path(checked_sha256(sha256)))

    def names(self, *, settled_for: timedelta = timedelta(0)) -> set[Sha256]:
        latest = datetime.now(UTC) - settled_for
        with file_errors(_WHERE):
            found = self._files.find(self._root, detail=True)
        return {
            Sha256(name)
            for path, info in found.items()
            if _NAME.fullmatch(name := str(path).rsplit("/", 1)[-1])
            and (not settled_for or _stored_at(info) <= latest)
        }

    def delete(self, sha256: Sha256) -> None:
        with file_errors(_WHERE):
            if self._files.isfile(path := self._path(checked_sha256(sha256))):
                self._files.rm_file(path)

    def _path(self, name: str) -> str:
        return f"{self._root}/{name[:2]}/{name[2:4]}/{name}"

    def _read(self, name: str) -> bytes | None:
        try:
            return self._files.cat_file(self._path(name))
        except FileNotFoundError:
            return None


def _stored_at(info: Mapping[str, object]) -> datetime:
    """Return when a file was stored; each file system of fsspec has its own word for it."""
    for word in ("mtime", "LastModified", "last_modified", "updated", "created"):
        at = info.get(word)
        if isinstance(at, datetime):
            return at if at.tzinfo else at.replace(tzinfo=UTC)
        if isinstance(at, int | float):
            return datetime.fromtimestamp(at, UTC)
    return datetime.now(UTC)
