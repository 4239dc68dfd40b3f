"""Put a backup back into an empty database and an empty folder of files."""

import tempfile
from pathlib import Path

from sqlalchemy import Engine

from triage_app.casefile.manifests import BackupManifest
from triage_app.domain.errors import BundleRejectedError, InvalidInputError, StorageError
from triage_app.domain.ids import Sha256
from triage_app.services.ports import BlobStore
from triage_app.services.sealed_zip import SealedZip
from triage_app.storage import backup_zip, database_copy
from triage_app.storage.backup import BackupContents, contents_of
from triage_app.storage.faults import file_errors
from triage_app.storage.open import MEMORY, open_blobs, open_database


def restore(source: Path, cases_url: str, files_url: str) -> BackupContents:
    """Put back everything that ``source`` holds.

    All of it is checked before anything is written. The cases come last and all at once, so that
    a restore that was cut off can simply be run again. Raises BundleRejectedError,
    InvalidInputError when the place is not empty, StorageError.
    """
    if cases_url.startswith(MEMORY):
        raise StorageError("Cases in memory are not kept, so nothing can be restored there.")
    with backup_zip.opened(source) as (archive, manifest), tempfile.TemporaryDirectory() as name:
        copy = _unpacked_database(archive, Path(name))
        try:
            _check_database(copy, manifest)
            blobs = _empty_blobs(files_url, backup_zip.files_in(manifest))
            target = _empty_database(cases_url, brings_people=database_copy.has_people(copy))
            try:
                for file in backup_zip.files_in(manifest):
                    blobs.put(archive.read(backup_zip.member_of(file)))
                database_copy.copy_cases(copy, target)
            finally:
                target.dispose()
        finally:
            copy.dispose()
    return contents_of(manifest)


def _unpacked_database(archive: SealedZip, folder: Path) -> Engine:
    """Return the backup's database; one of an older version is brought up to date on the way."""
    file = folder / backup_zip.DATABASE
    with file_errors(f"The folder '{folder}'"), file.open("xb") as target:
        for chunk in archive.chunks(backup_zip.DATABASE):
            target.write(chunk)
    try:
        return open_database(database_copy.sqlite_url(file))
    except StorageError as error:
        raise BundleRejectedError(f"The backup's database cannot be used. {error}") from error


def _check_database(copy: Engine, manifest: BackupManifest) -> None:
    try:
        fault = database_copy.first_fault(copy)
        named = set(database_copy.file_names(copy))
        count = database_copy.case_count(copy)
    except StorageError as error:
        raise BundleRejectedError(f"The backup's database cannot be used. {error}") from error
    if fault:
        raise BundleRejectedError(f"The backup is refused: {fault}.")
    if count != manifest.case_count or named != {
        *backup_zip.files_in(manifest),
        *manifest.missing,
    }:
        raise BundleRejectedError(
            "The backup is refused: it does not hold just the cases and files that it lists."
        )


def _empty_blobs(files_url: str, expected: list[Sha256]) -> BlobStore:
    blobs = open_blobs(files_url)
    if blobs.names() - set(expected):
        raise InvalidInputError(
            f"'{files_url}' holds files already. Restore into an empty folder; nothing was changed."
        )
    return blobs


def _empty_database(cases_url: str, *, brings_people: bool) -> Engine:
    engine = open_database(cases_url)
    if database_copy.case_count(engine):
        held = "cases"
    elif brings_people and database_copy.has_people(engine):
        # Two sets of people would be one person with two accounts.
        held = "accounts of people"
    else:
        return engine
    engine.dispose()
    raise InvalidInputError(
        f"The database holds {held} already. Restore into an empty one; nothing was changed."
    )
