"""Hand a whole case on as one file, take one in, and find files that no case needs."""

import logging
from datetime import timedelta

from triage_app.domain.case import Case
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator
from triage_app.imaging.resize import upright_jpeg
from triage_app.services.bundle import BundleWriter, open_bundle, photo_member, report_member
from triage_app.services.permission import needs
from triage_app.services.ports import BlobStore, CaseStore

_log = logging.getLogger(__name__)

# A photo is stored before the case that shows it: a file this young may belong to an upload.
SETTLED_FOR = timedelta(hours=1)


class Archive:
    def __init__(self, *, cases: CaseStore, blobs: BlobStore) -> None:
        self._cases = cases
        self._blobs = blobs

    @needs(Action.HAND_ON)
    def export(
        self,
        case_id: CaseId,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
        for_insurer: bool = False,
    ) -> bytes:
        """Return the case as a zip file; the same case gives the same bytes.

        ``for_insurer`` puts upright copies without place and camera data in the place of the
        originals, numbers the cameras, and leaves the contents out of the journal. Raises
        NotFoundError.
        """
        case, entries = self._case_and_journal(case_id)
        written = BundleWriter(case, entries, for_insurer=for_insurer)
        for photo in case.photos:
            original = self._blobs.get(photo.sha256)
            if for_insurer:
                name = photo_member(photo, cleaned=True)
                written.add(
                    name, upright_jpeg(original, longest_side_px=None), original_sha256=photo.sha256
                )
            else:
                written.add(photo_member(photo), original)
        for report in case.reports:
            written.add(report_member(report), self._blobs.get(report.sha256))
        _log.info("case_exported case=%s for_insurer=%s", case_id, for_insurer)
        return written.finished()

    @needs(Action.TAKE_IN)
    def import_bundle(
        self,
        data: bytes,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> Case:
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

    @needs(Action.TAKE_IN)
    def tidy(
        self,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
        delete: bool = False,
        settled_for: timedelta = SETTLED_FOR,
    ) -> list[Sha256]:
        """Return the files that no case refers to; ``delete`` removes them.

        Files stored within ``settled_for`` are left out: their case may be on its way.
        """
        orphans = self._orphans(settled_for)
        if delete:
            # A second look: somebody may have added one of these photos again meanwhile.
            orphans &= self._orphans(settled_for)
            for name in orphans:
                self._blobs.delete(name)
            _log.info("files_removed count=%d", len(orphans))
        return sorted(orphans)

    def _orphans(self, settled_for: timedelta) -> set[Sha256]:
        # Stored names first, so that a case that is written in between is seen.
        stored = self._blobs.names(settled_for=settled_for)
        return stored - self._cases.blob_names()

    def _case_and_journal(self, case_id: CaseId) -> tuple[Case, list[JournalEntry]]:
        """Return both as of one moment: entries that came after the case was read are cut."""
        case = self._cases.get(case_id)
        return case, self._cases.journal(case_id)[: case.revision]
