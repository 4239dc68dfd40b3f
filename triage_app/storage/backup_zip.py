"""What lies in a backup: the names, the limits, and how it is opened."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from triage_app.casefile.manifests import BackupManifest, backup_manifest_from_json
from triage_app.domain.errors import BundleRejectedError, InvalidInputError
from triage_app.domain.ids import Sha256
from triage_app.services.sealed_zip import MANIFEST, MAX_TEXT_BYTES, SealedZip
from triage_app.storage.faults import file_errors

DATABASE = "database.db"
_FILES = "files/"
_FILE_NAME = re.compile(_FILES + "[0-9a-f]{64}")

MAX_MEMBERS = 5_000_000
MAX_DATABASE_BYTES = 100_000_000_000
MAX_FILE_BYTES = 1_000_000_000
MAX_TOTAL_BYTES = 100_000_000_000_000


def member_of(name: Sha256) -> str:
    """Return where a stored file lies in the backup."""
    return f"{_FILES}{name}"


def files_in(manifest: BackupManifest) -> list[Sha256]:
    """Return the stored files that a backup holds."""
    return [
        Sha256(member.name.removeprefix(_FILES))
        for member in manifest.members
        if member.name.startswith(_FILES)
    ]


@contextmanager
def opened(source: Path) -> Iterator[tuple[SealedZip, BackupManifest]]:
    """Open a backup and check every byte of it; BundleRejectedError says what is wrong."""
    with file_errors(f"'{source}'"), source.open("rb") as stream:
        archive = SealedZip(
            stream,
            what="The backup",
            limit_of=_limit_of,
            max_members=MAX_MEMBERS,
            max_total_bytes=MAX_TOTAL_BYTES,
        )
        try:
            manifest = backup_manifest_from_json(archive.text(MANIFEST))
        except InvalidInputError as error:
            raise BundleRejectedError(f"The backup is refused. {error}") from error
        archive.check_listed(manifest.members)
        _check_names(archive, manifest)
        yield archive, manifest


def _limit_of(name: str) -> int | None:
    if name in {MANIFEST, DATABASE}:
        return MAX_TEXT_BYTES if name == MANIFEST else MAX_DATABASE_BYTES
    return MAX_FILE_BYTES if _FILE_NAME.fullmatch(name) else None


def _check_names(archive: SealedZip, manifest: BackupManifest) -> None:
    if DATABASE not in archive.names:
        raise BundleRejectedError(f"The backup is refused: it has no '{DATABASE}'.")
    for member in manifest.members:
        if member.name not in {DATABASE, member_of(member.sha256)}:
            raise BundleRejectedError(
                f"The backup is refused: '{member.name}' is not the file of its name."
            )
