"""A case as one zip file: what lies in it, how it is written, and what is checked on reading."""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace

from triage_app.casefile import case_from_json, case_to_json, journal_from_json, journal_to_json
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.manifests import (
    MANIFEST_FORMAT,
    BundleManifest,
    Member,
    bundle_manifest_from_json,
    manifest_to_json,
)
from triage_app.domain.case import Case, IssuedReport, Photo
from triage_app.domain.errors import BundleRejectedError, InvalidInputError
from triage_app.domain.ids import Sha256
from triage_app.domain.journal import JournalEntry, first_bad_entry
from triage_app.services.sealed_zip import MANIFEST, MAX_TEXT_BYTES, SealedZip, new_member

CASE = "case.json"
JOURNAL = "journal.json"
ABOUT = "about.txt"

MAX_MEMBERS = 3_000
MAX_FILE_BYTES = 200_000_000
MAX_TOTAL_BYTES = 8_000_000_000

_FILE_NAME = re.compile(r"(photos/[0-9a-f]{64}\.[a-z]{3,4}|reports/[0-9a-f]{64}\.docx)")
_ENDINGS = {
    "image/jpeg": "jpg",
    "image/heic": "heic",
    "image/heif": "heif",
    "image/png": "png",
    "image/webp": "webp",
    "image/tiff": "tiff",
    "image/mpo": "mpo",
}

_ABOUT_ORIGINALS = (
    "A case of Underbody Triage. The photos are the untouched originals: they may hold the place\n"
    "where they were taken and the owner of the camera. Hand this file only to somebody who may\n"
    "know that; for the insurer there is an export without it.\n"
)
_ABOUT_INSURER = (
    "A case of Underbody Triage, made for an insurer. The photos are upright copies without\n"
    "place or camera data; manifest.json gives the SHA-256 of each untouched original, which the\n"
    "shop keeps. case.json numbers the cameras instead of naming them, so it is not byte for byte\n"
    "the one that the journal tells of. The journal says who did what and when, without the\n"
    "contents.\n"
)


def photo_member(photo: Photo, *, cleaned: bool = False) -> str:
    """Return where a photo lies in the bundle; nothing of its file name is used."""
    ending = "jpg" if cleaned else _ENDINGS.get(photo.media_type, "bin")
    return f"photos/{photo.sha256}.{ending}"


def report_member(report: IssuedReport) -> str:
    return f"reports/{report.sha256}.docx"


def with_cameras_numbered(case: Case) -> Case:
    """Return the case with "camera 1", "camera 2" for makes and models, in the order of photos.

    A clock keeps the photos that it stands for, so every real time stays what it was.
    """
    told = [photo.camera for photo in case.photos] + [clock.camera for clock in case.clocks]
    named = dict.fromkeys(camera for camera in told if camera)
    numbered = {"": ""} | {camera: f"camera {at}" for at, camera in enumerate(named, start=1)}
    return replace(
        case,
        photos=tuple(replace(each, camera=numbered[each.camera]) for each in case.photos),
        clocks=tuple(replace(each, camera=numbered[each.camera]) for each in case.clocks),
    )


class BundleWriter:
    """A bundle while it is written; the manifest comes last, when all hashes are known."""

    def __init__(self, case: Case, entries: list[JournalEntry], *, for_insurer: bool) -> None:
        self._stream = io.BytesIO()
        self._archive = zipfile.ZipFile(self._stream, "w")
        self._members: list[Member] = []
        self._manifest = BundleManifest(
            format=MANIFEST_FORMAT,
            kind="case bundle",
            case_id=case.id,
            reference=case.reference,
            for_insurer=for_insurer,
            journal_head=entries[-1].entry_hash,
            journal_count=len(entries),
            members=(),
        )
        told = [replace(entry, detail="") for entry in entries] if for_insurer else entries
        self.add(ABOUT, (_ABOUT_INSURER if for_insurer else _ABOUT_ORIGINALS).encode())
        given = with_cameras_numbered(case) if for_insurer else case
        self.add(CASE, case_to_json(given).encode())
        self.add(JOURNAL, journal_to_json(told).encode())

    def add(self, name: str, data: bytes, *, original_sha256: Sha256 | None = None) -> None:
        self._archive.writestr(new_member(name, packed="/" not in name), data)
        self._members.append(
            Member(
                name=name,
                sha256=sha256_of(data),
                byte_count=len(data),
                original_sha256=original_sha256,
            )
        )

    def finished(self) -> bytes:
        manifest = replace(self._manifest, members=tuple(self._members))
        self._archive.writestr(new_member(MANIFEST, packed=True), manifest_to_json(manifest))
        self._archive.close()
        return self._stream.getvalue()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """A case whose parts were all found whole. Its files are read one by one, when asked for."""

    case: Case
    entries: list[JournalEntry]
    archive: SealedZip

    def files(self) -> Iterator[bytes]:
        for name in _files_of(self.case):
            yield self.archive.read(name)


def open_bundle(data: bytes) -> Bundle:
    """Return the bundle in ``data``; BundleRejectedError says in one sentence what is wrong."""
    archive = SealedZip(
        io.BytesIO(data),
        what="The bundle",
        limit_of=_limit_of,
        max_members=MAX_MEMBERS,
        max_total_bytes=MAX_TOTAL_BYTES,
    )
    try:
        return _checked(archive)
    except InvalidInputError as error:
        raise BundleRejectedError(f"The bundle is refused. {error}") from error


def _limit_of(name: str) -> int | None:
    if name in {MANIFEST, CASE, JOURNAL, ABOUT}:
        return MAX_TEXT_BYTES
    return MAX_FILE_BYTES if _FILE_NAME.fullmatch(name) else None


def _files_of(case: Case) -> dict[str, Sha256]:
    photos = {photo_member(photo): photo.sha256 for photo in case.photos}
    return photos | {report_member(report): report.sha256 for report in case.reports}


def _checked(archive: SealedZip) -> Bundle:
    manifest = bundle_manifest_from_json(archive.text(MANIFEST))
    if manifest.for_insurer:
        raise BundleRejectedError(
            "This bundle was made for an insurer: it holds no originals and cannot be imported."
        )
    archive.check_listed(manifest.members)
    case_text = archive.text(CASE)
    case = case_from_json(case_text)
    entries = journal_from_json(archive.text(JOURNAL))
    _check_files(archive, manifest, case)
    _check_journal(entries, case, sha256_of(case_text))
    told = (case.id, case.reference, entries[-1].entry_hash, len(entries))
    if told != (
        manifest.case_id,
        manifest.reference,
        manifest.journal_head,
        manifest.journal_count,
    ):
        raise BundleRejectedError(
            "The bundle is refused: its manifest names another case or journal than it holds."
        )
    return Bundle(case=case, entries=entries, archive=archive)


def _check_files(archive: SealedZip, manifest: BundleManifest, case: Case) -> None:
    expected = _files_of(case)
    if archive.names != {MANIFEST, CASE, JOURNAL, ABOUT, *expected}:
        raise BundleRejectedError(
            "The bundle is refused: it does not hold just the photos and reports of its case."
        )
    # The manifest's hashes were compared with the bytes; here they meet the case's.
    for member in manifest.members:
        if member.sha256 != expected.get(member.name, member.sha256):
            raise BundleRejectedError(
                f"The bundle is refused: '{member.name}' is not the file that its case names."
            )


def _check_journal(entries: list[JournalEntry], case: Case, case_sha256: Sha256) -> None:
    bad = 1 if not entries else first_bad_entry(entries)
    if bad is not None:
        raise BundleRejectedError(f"The bundle is refused: its journal is broken at entry {bad}.")
    if not all(f"{entry.kind}{entry.signed.by}".isprintable() for entry in entries):
        raise BundleRejectedError(
            "The bundle is refused: its journal holds characters that cannot be shown."
        )
    is_of_case = all(entry.case_id == case.id for entry in entries)
    if not is_of_case or entries[-1].case_sha256 != case_sha256 or len(entries) != case.revision:
        raise BundleRejectedError(
            "The bundle is refused: its case is not the one that its journal ends with."
        )
