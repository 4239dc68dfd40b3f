"""All cases and their files as one zip, made while the program runs.

The database travels as a SQLite file whatever it is kept in, copied row by row in one read
transaction, so that a backup of one kind of database restores into the other.
"""

import hashlib
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from triage_app.casefile.manifests import (
    MANIFEST_FORMAT,
    BackupManifest,
    Member,
    manifest_to_json,
)
from triage_app.domain.errors import InvalidInputError, NotFoundError, StorageError
from triage_app.domain.ids import Sha256
from triage_app.services.ports import BlobStore
from triage_app.services.sealed_zip import MANIFEST, new_member
from triage_app.storage import backup_zip, database_copy
from triage_app.storage.durable_folder import sync_file, sync_folder
from triage_app.storage.engine import sqlite_path
from triage_app.storage.faults import file_errors
from triage_app.storage.open import MEMORY, open_blobs, open_database


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupContents:
    """What a backup holds. ``missing`` are files that cases name and the store no longer had."""

    case_count: int
    file_count: int
    missing: tuple[Sha256, ...]


def backup(cases_url: str, files_url: str, target: Path) -> BackupContents:
    """Write every case and file to ``target``, which must not be there yet, and read it back.

    A file that is lost or damaged in the store does not stop the backup of all others; it is
    named in the answer. Raises InvalidInputError, StorageError; then there is no ``target``.
    """
    if target.exists():
        raise InvalidInputError(f"'{target}' is there already. Choose a new name.")
    _refuse_absent(cases_url)
    with _folder_beside(target) as folder:
        _copy_database(cases_url, folder / backup_zip.DATABASE)
        part = folder / "backup.zip"
        with file_errors(f"'{target}'"):
            _write(part, folder / backup_zip.DATABASE, open_blobs(files_url))
            sync_file(part)
        with backup_zip.opened(part) as (_, manifest):
            contents = contents_of(manifest)
        with file_errors(f"'{target}'"):
            part.rename(target)
            sync_folder(target.absolute().parent)
    return contents


def contents_of(manifest: BackupManifest) -> BackupContents:
    return BackupContents(
        case_count=manifest.case_count,
        file_count=len(backup_zip.files_in(manifest)),
        missing=manifest.missing,
    )


def _refuse_absent(cases_url: str) -> None:
    if cases_url.startswith(MEMORY):
        raise StorageError("Cases in memory are not kept, so there is nothing to back up.")
    file = sqlite_path(cases_url)
    if file is not None and not file.is_file():
        raise StorageError(f"There is no database at '{file}'.")


@contextmanager
def _folder_beside(target: Path) -> Iterator[Path]:
    # Beside the target, so that the last step is a rename on one disk and never a copy.
    with file_errors(f"The folder of '{target}'"):
        folder = tempfile.TemporaryDirectory(dir=target.absolute().parent, prefix=".backup-")
    with folder as name:
        yield Path(name)


def _copy_database(cases_url: str, copy: Path) -> None:
    source = open_database(cases_url)
    try:
        target = open_database(database_copy.sqlite_url(copy))
        try:
            database_copy.copy_cases(source, target)
        finally:
            target.dispose()
    finally:
        source.dispose()


def _write(part: Path, database: Path, blobs: BlobStore) -> None:
    engine = open_database(database_copy.sqlite_url(database))
    try:
        case_count = database_copy.case_count(engine)
        names = database_copy.file_names(engine)
    finally:
        engine.dispose()
    members: list[Member] = []
    missing: list[Sha256] = []
    with zipfile.ZipFile(part, "x") as archive:
        members.append(_add_database(archive, database))
        for name in names:
            try:
                data = blobs.get(name)
            except (NotFoundError, StorageError):
                missing.append(name)
                continue
            member = backup_zip.member_of(name)
            archive.writestr(new_member(member, packed=False), data)
            members.append(Member(name=member, sha256=name, byte_count=len(data)))
        manifest = BackupManifest(
            format=MANIFEST_FORMAT,
            kind="backup",
            case_count=case_count,
            members=tuple(members),
            missing=tuple(missing),
        )
        archive.writestr(new_member(MANIFEST, packed=True), manifest_to_json(manifest))


def _add_database(archive: zipfile.ZipFile, database: Path) -> Member:
    info = new_member(backup_zip.DATABASE, packed=True)
    digest = hashlib.sha256()
    byte_count = 0
    info.file_size = database.stat().st_size
    with database.open("rb") as source, archive.open(info, "w") as target:
        while chunk := source.read(1 << 20):
            digest.update(chunk)
            byte_count += len(chunk)
            target.write(chunk)
    return Member(
        name=backup_zip.DATABASE, sha256=Sha256(digest.hexdigest()), byte_count=byte_count
    )
