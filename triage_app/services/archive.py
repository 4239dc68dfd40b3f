"""Hand a whole case on as one file, take one in, and find files that no case needs."""

import io
import logging
import zipfile
from dataclasses import replace
from datetime import timedelta

from triage_app.casefile import case_to_json, journal_to_json
from triage_app.casefile.canonical import canonical_json, sha256_of
from triage_app.domain.case import Case
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.imaging.resize import upright_jpeg
from triage_app.services import bundle
from triage_app.services.bundle import Manifest, Member
from triage_app.services.bundle_reading import open_bundle
from triage_app.services.ports import BlobStore, CaseStore

_log = logging.getLogger(__name__)

# A photo is stored before the case that shows it: a file this young may belong to an upload.
SETTLED_FOR = timedelta(hours=1)


class Archive:
    def __init__(self, *, cases: CaseStore, blobs: BlobStore) -> None:
        self._cases = cases
        self._blobs = blobs

    def export(self, case_id: CaseId, *, for_insurer: bool = False) -> bytes:
        """Return the case as a zip file; the same case gives the same bytes.

        ``for_insurer`` puts upright copies without place and camera data in the place of the
        originals, and leaves the contents out of the journal. Raises NotFoundError.
        """
        # The journal first: a change in between then shows as one entry too few, never as a case
        # that is older than its journal.
        case, entries = self._case_and_journal(case_id)
        written = _Written(case, entries, for_insurer=for_insurer)
        for photo in case.photos:
            original = self._blobs.get(photo.sha256)
            if for_insurer:
                name = bundle.photo_member(photo, cleaned=True)
                written.add(
                    name, upright_jpeg(original, longest_side_px=None), original_sha256=photo.sha256
                )
            else:
                written.add(bundle.photo_member(photo), original)
        for report in case.reports:
            written.add(bundle.report_member(report), self._blobs.get(report.sha256))
        _log.info("case_exported case=%s for_insurer=%s", case_id, for_insurer)
        return written.finished()

    def import_bundle(self, data: bytes) -> Case:
        """Store the case of a bundle with its journal and files, and return it.

        Everything is checked before anything is written. Raises BundleRejectedError, or
        InvalidInputError when the case or its reference is here already.
        """
        opened = open_bundle(data)
        for content in opened.files():
            self._blobs.put(content)
        self._cases.insert_whole(opened.case, opened.entries)
        _log.info("case_imported case=%s", opened.case.id)
        return opened.case

    def tidy(self, *, delete: bool = False, settled_for: timedelta = SETTLED_FOR) -> list[Sha256]:
        """Return the files that no case refers to; ``delete`` removes them.

        Files stored within ``settled_for`` are left out: their case may be on its way.
        """
        # Stored names first: a case that is written meanwhile is then seen by the second look.
        stored = self._blobs.names(settled_for=settled_for)
        orphans = sorted(stored - self._cases.blob_names())
        if delete:
            for name in orphans:
                self._blobs.delete(name)
            _log.info("files_removed count=%d", len(orphans))
        return orphans

    def _case_and_journal(self, case_id: CaseId) -> tuple[Case, list[JournalEntry]]:
        """Return both as of one moment: entries that came after the case was read are cut."""
        case = self._cases.get(case_id)
        return case, self._cases.journal(case_id)[: case.revision]


class _Written:
    """A bundle while it is being written; the manifest comes last, when all hashes are known."""

    def __init__(self, case: Case, entries: list[JournalEntry], *, for_insurer: bool) -> None:
        self._stream = io.BytesIO()
        self._archive = zipfile.ZipFile(self._stream, "w")
        self._members: list[Member] = []
        self._manifest = Manifest(
            format=bundle.BUNDLE_FORMAT,
            case_id=case.id,
            reference=case.reference,
            for_insurer=for_insurer,
            journal_head=entries[-1].entry_hash,
            journal_count=len(entries),
            members=(),
        )
        about = bundle.ABOUT_INSURER if for_insurer else bundle.ABOUT_ORIGINALS
        told = [replace(entry, detail="") for entry in entries] if for_insurer else entries
        self.add(bundle.ABOUT, about.encode())
        self.add(bundle.CASE, case_to_json(case).encode())
        self.add(bundle.JOURNAL, journal_to_json(told).encode())

    def add(self, name: str, data: bytes, *, original_sha256: Sha256 | None = None) -> None:
        self._archive.writestr(bundle.stored_member(name), data)
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
        text = canonical_json(bundle.MANIFEST_FILE.dump_python(manifest, mode="json"))
        self._archive.writestr(bundle.stored_member(bundle.MANIFEST), text.encode())
        self._archive.close()
        return self._stream.getvalue()
