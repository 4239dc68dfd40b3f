"""Read a bundle that may be hostile: everything is checked before anything is handed on."""

import io
import stat
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import ValidationError

from triage_app.casefile import case_from_json, journal_from_json, versions
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.faults import sentence
from triage_app.domain.case import Case
from triage_app.domain.errors import BundleRejectedError, InvalidInputError
from triage_app.domain.ids import Sha256
from triage_app.domain.journal import JournalEntry, first_bad_entry
from triage_app.services import bundle
from triage_app.services.bundle import Manifest

# Whatever zipfile and zlib raise on bytes that are no sound archive (found by trying).
_UNSOUND = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    OverflowError,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """A case whose parts were found whole. ``files`` are read one by one, when asked for."""

    case: Case
    entries: list[JournalEntry]
    archive: zipfile.ZipFile

    def files(self) -> Iterator[bytes]:
        for name in bundle.file_members(self.case):
            yield _read(self.archive, name)


def open_bundle(data: bytes) -> Bundle:
    """Return the bundle in ``data``; BundleRejectedError says in one sentence what is wrong."""
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except _UNSOUND as error:
        raise BundleRejectedError("The file is not a bundle: it is no sound zip file.") from error
    _check_members(archive)
    try:
        return _checked(archive)
    except InvalidInputError as error:
        raise BundleRejectedError(f"The bundle is refused: {error}") from error


def _check_members(archive: zipfile.ZipFile) -> None:
    infos = archive.infolist()
    if len(infos) > bundle.MAX_MEMBERS:
        raise BundleRejectedError(f"The bundle holds more than {bundle.MAX_MEMBERS} files.")
    names: set[str] = set()
    for info in infos:
        _check_member(info)
        if info.filename in names:
            raise BundleRejectedError(f"The bundle holds '{info.filename}' twice.")
        names.add(info.filename)
    if bundle.total_bytes(infos) > bundle.MAX_TOTAL_BYTES:
        raise BundleRejectedError("The bundle would unpack to more than 8 GB.")
    for name in (bundle.MANIFEST, *bundle.TEXT_MEMBERS):
        if name not in names:
            raise BundleRejectedError(f"The bundle has no '{name}'.")


def _check_member(info: zipfile.ZipInfo) -> None:
    shown = info.orig_filename.encode("unicode_escape").decode()[:80]
    if stat.S_ISLNK(info.external_attr >> 16):
        raise BundleRejectedError(f"The bundle holds a link, '{shown}', instead of a file.")
    if info.orig_filename != info.filename or not bundle.is_known_name(info.filename):
        raise BundleRejectedError(f"The bundle holds '{shown}', which does not belong there.")
    if info.flag_bits & 0x1:
        raise BundleRejectedError(f"'{shown}' in the bundle is encrypted.")
    is_text = info.filename in {bundle.MANIFEST, *bundle.TEXT_MEMBERS}
    limit = bundle.MAX_TEXT_BYTES if is_text else bundle.MAX_FILE_BYTES
    if info.file_size > limit:
        raise BundleRejectedError(f"'{shown}' in the bundle is larger than {limit:,} bytes.")


def _checked(archive: zipfile.ZipFile) -> Bundle:
    manifest = _manifest(_text(archive, bundle.MANIFEST))
    if manifest.for_insurer:
        raise BundleRejectedError(
            "This bundle was made for an insurer: it holds no originals and cannot be imported."
        )
    _check_hashes(archive, manifest)
    case_text = _text(archive, bundle.CASE)
    case = case_from_json(case_text)
    entries = journal_from_json(_text(archive, bundle.JOURNAL))
    if (case.id, case.reference) != (manifest.case_id, manifest.reference):
        raise BundleRejectedError("The bundle's manifest names another case than it holds.")
    _check_files(archive, case)
    _check_journal(entries, case, sha256_of(case_text))
    if (entries[-1].entry_hash, len(entries)) != (manifest.journal_head, manifest.journal_count):
        raise BundleRejectedError("The bundle's journal is not the one that its manifest names.")
    return Bundle(case=case, entries=entries, archive=archive)


def _manifest(text: str) -> Manifest:
    try:
        return bundle.MANIFEST_FILE.validate_json(text)
    except ValidationError as error:
        versions.refuse_other_format("The bundle", text, bundle.BUNDLE_FORMAT)
        raise InvalidInputError(sentence("Its manifest", text, error)) from error


def _check_hashes(archive: zipfile.ZipFile, manifest: Manifest) -> None:
    listed = {member.name: member for member in manifest.members}
    held = set(archive.namelist()) - {bundle.MANIFEST}
    if held != set(listed) or len(listed) != len(manifest.members):
        raise BundleRejectedError("The bundle does not hold the files that its manifest lists.")
    for name, member in listed.items():
        if sha256_of(_read(archive, name)) != member.sha256:
            raise BundleRejectedError(f"'{name}' in the bundle was changed: its hash is wrong.")


def _check_files(archive: zipfile.ZipFile, case: Case) -> None:
    expected = bundle.file_members(case)
    held = set(archive.namelist()) - {bundle.MANIFEST, *bundle.TEXT_MEMBERS}
    if held != set(expected):
        raise BundleRejectedError("The bundle does not hold the photos and reports of its case.")
    for name, sha256 in expected.items():
        if sha256_of(_read(archive, name)) != sha256:
            raise BundleRejectedError(f"'{name}' in the bundle is not the file of its name.")


def _check_journal(entries: list[JournalEntry], case: Case, case_sha256: Sha256) -> None:
    bad = first_bad_entry(entries)
    if bad is not None:
        raise BundleRejectedError(f"The bundle's journal was changed at entry {bad}.")
    if not entries or any(entry.case_id != case.id for entry in entries):
        raise BundleRejectedError("The bundle's journal is not that of its case.")
    if entries[-1].case_sha256 != case_sha256 or len(entries) != case.revision:
        raise BundleRejectedError("The bundle's case is not the one that its journal ends with.")


def _text(archive: zipfile.ZipFile, name: str) -> str:
    try:
        return _read(archive, name).decode()
    except UnicodeDecodeError as error:
        raise BundleRejectedError(f"'{name}' in the bundle is not text.") from error


def _read(archive: zipfile.ZipFile, name: str) -> bytes:
    info = archive.getinfo(name)
    try:
        with archive.open(info) as member:
            # Never more than was declared, whatever the compressed bytes unpack to.
            data = member.read(info.file_size + 1)
    except _UNSOUND as error:
        raise BundleRejectedError(f"'{name}' in the bundle is damaged.") from error
    if len(data) != info.file_size:
        raise BundleRejectedError(f"'{name}' in the bundle is damaged.")
    return data
