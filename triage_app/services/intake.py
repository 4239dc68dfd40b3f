"""Open a case, write down the car and the incident, take in photos."""

import logging
import os
import time
from collections import deque
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import islice

from triage_app.domain.admission.commands import with_answers
from triage_app.domain.case import Case, Photo
from triage_app.domain.commands import AddPhoto, DescribeIncident, DescribeVehicle
from triage_app.domain.errors import InvalidInputError, NotFoundError, PhotoRejectedError
from triage_app.domain.ids import CaseId, PhotoId, Sha256, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.vehicle import Incident, Vehicle, checked_text
from triage_app.imaging.edges import edges_png
from triage_app.imaging.reading import PhotoReading, read_photo
from triage_app.imaging.resize import upright_jpeg
from triage_app.services.lowering import LoweringGuard
from triage_app.services.permission import needs
from triage_app.services.ports import BlobStore, CaseStore, Clock, NewId

_log = logging.getLogger(__name__)

MAX_PHOTO_BYTES = 200_000_000
MAX_PHOTOS_PER_CASE = 1_000
_PREVIEWS_KEPT = 48
_EDGES_KEPT = 16
_READERS = max(1, min(4, os.cpu_count() or 1))
_TOO_LARGE = "The file is larger than 200 MB."


class PhotoAnswer(StrEnum):
    """What became of one file."""

    ACCEPTED = "accepted"
    DUPLICATE = "duplicate"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoOutcome:
    """The answer to one file. ``photo`` is None when it was refused because of ``reason``."""

    file_name: str
    answer: PhotoAnswer
    photo: Photo | None = None
    reason: str = ""


Progress = Callable[[int, int], None]


class Intake:
    def __init__(
        self,
        *,
        cases: CaseStore,
        blobs: BlobStore,
        clock: Clock,
        new_id: NewId,
        guard: LoweringGuard,
    ) -> None:
        self._guard = guard
        self._cases = cases
        self._blobs = blobs
        self._clock = clock
        self._new_id = new_id
        self._preview = lru_cache(maxsize=_PREVIEWS_KEPT)(self._make_preview)
        self._edges = lru_cache(maxsize=_EDGES_KEPT)(self._make_edges)

    @needs(Action.MAKE_CASE)
    def open_case(
        self,
        *,
        by: Operator,
        reference: str | None = None,
        vehicle: Vehicle | None = None,
        incident: Incident | None = None,
        case_id: CaseId | None = None,
    ) -> Case:
        """Open a case; without a reference it gets the next free one of this year.

        Whoever opens it stands for the answers to the warning signs that the incident holds.

        Raises InvalidInputError if the reference is taken or cannot be one.
        """
        signed = Signed(by=by.name, at=self._clock())
        case = Case(
            id=CaseId(checked_id(case_id or self._new_id())),
            reference=_checked_reference(reference or self._next_reference(signed)),
            opened=signed,
            vehicle=vehicle or Vehicle(),
        )
        case = with_answers(case, incident or Incident(), signed)
        stored = self._cases.create(case, signed)
        _log.info("case_opened case=%s", stored.id)
        return stored

    @needs(Action.MAKE_CASE)
    def describe_vehicle(
        self,
        case_id: CaseId,
        vehicle: Vehicle,
        *,
        by: Operator,
        base: Vehicle | None = None,
        reason: str = "",
    ) -> Case:
        """Write down the car as known now; the journal keeps what was there.

        With ``base``, the vehicle as first shown to this person, only what they changed is changed;
        StaleCaseError if somebody else changed the same thing since. NotAllowedError where another
        voltage or kind of drive would take findings down from HV and ``by`` is no reviewer, and
        InvalidInputError where a reviewer gives no ``reason`` for that.
        """
        why = checked_text(reason, "The reason")
        return self._apply(case_id, DescribeVehicle(vehicle=vehicle, base=base, reason=why), by)

    @needs(Action.MAKE_CASE)
    def describe_incident(
        self, case_id: CaseId, incident: Incident, *, by: Operator, base: Incident | None = None
    ) -> Case:
        """Write down the incident as known now; the journal keeps what was there.

        With ``base``, the incident as first shown to this person, only what they changed is
        changed; StaleCaseError if somebody else changed the same thing since.
        """
        return self._apply(case_id, DescribeIncident(incident=incident, base=base), by)

    @needs(Action.ADD_PHOTO)
    def add_photo(
        self, case_id: CaseId, data: bytes, *, file_name: str, by: Operator
    ) -> PhotoOutcome:
        """Take in one file. The same bytes twice are a duplicate of the first.

        A file that is no usable photo is REFUSED in the outcome, never raised; NotFoundError and
        StorageError are raised, because they concern every file.
        """
        case = self._cases.get(case_id)
        outcome, _ = self._take_in(case, file_name, data, _read_or_refused(data), by)
        return outcome

    @needs(Action.ADD_PHOTO)
    def add_photos(
        self,
        case_id: CaseId,
        files: Iterable[tuple[str, bytes]],
        *,
        by: Operator,
        progress: Progress | None = None,
    ) -> list[PhotoOutcome]:
        """Take in many files (name, bytes); one bad file does not disturb the others.

        Files are read on every core and stored one by one in the order given. No more are read
        ahead than there are cores, so that memory does not grow with their number.
        """
        listed = list(files)
        case = self._cases.get(case_id)
        outcomes = []
        with ThreadPoolExecutor(_READERS, thread_name_prefix="photo") as readers:
            ahead: deque[Future[PhotoReading | PhotoRejectedError]] = deque()
            waiting = iter(listed)
            for _, data in islice(waiting, _READERS + 1):
                ahead.append(readers.submit(_read_or_refused, data))
            for done, (file_name, data) in enumerate(listed, start=1):
                reading = ahead.popleft().result()
                for _, later in islice(waiting, 1):
                    ahead.append(readers.submit(_read_or_refused, later))
                outcome, case = self._take_in(case, file_name, data, reading, by)
                outcomes.append(outcome)
                if progress:
                    progress(done, len(listed))
        return outcomes

    def _take_in(
        self,
        case: Case,
        file_name: str,
        data: bytes,
        reading: PhotoReading | PhotoRejectedError,
        by: Operator,
    ) -> tuple[PhotoOutcome, Case]:
        """Store one file that was read; return the answer for it, and the case as it is now.

        ``case`` is as last seen: the store applies the photo to the freshly loaded one, so what
        somebody else added meanwhile stays, and the same photo comes back as a duplicate.
        """
        started = time.perf_counter()
        shown_name = _shown_name(file_name)
        try:
            _check_counts(case, data)
            if isinstance(reading, PhotoRejectedError):
                raise reading
        except PhotoRejectedError as error:
            refused = PhotoAnswer.REFUSED
            return PhotoOutcome(file_name=shown_name, answer=refused, reason=str(error)), case
        sha256 = self._blobs.put(data)
        known = case.photo_with(sha256)
        if known:
            same = PhotoAnswer.DUPLICATE
            return PhotoOutcome(file_name=shown_name, answer=same, photo=known), case
        signed = Signed(by=by.name, at=self._clock())
        photo = Photo(
            id=PhotoId(f"P{sha256[:16]}"),
            sha256=sha256,
            file_name=shown_name,
            media_type=reading.media_type,
            byte_count=len(data),
            width_px=reading.width_px,
            height_px=reading.height_px,
            taken_at=reading.taken_at,
            camera=reading.camera,
            quality=reading.quality,
            orange_areas=reading.orange_areas,
            added=signed,
        )
        applied = self._cases.apply(case.id, AddPhoto(photo=photo), signed)
        milliseconds = (time.perf_counter() - started) * 1000
        _log.info("photo_added case=%s ms=%.0f", case.id, milliseconds)
        answer = PhotoAnswer.DUPLICATE if applied.after == applied.before else PhotoAnswer.ACCEPTED
        stored = applied.after.photo_with(sha256)
        return PhotoOutcome(file_name=shown_name, answer=answer, photo=stored), applied.after

    @needs(Action.READ)
    def photo_jpeg(
        self,
        case_id: CaseId,
        photo_id: PhotoId,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
        longest_side_px: int | None = None,
    ) -> bytes:
        """Return the upright photo as JPEG without metadata, at most ``longest_side_px`` long.

        None gives the full size. Raises NotFoundError.
        """
        photo = self._cases.get(case_id).photo(photo_id)
        return self._preview(photo.sha256, longest_side_px)

    @needs(Action.READ)
    def photo_edges(
        self,
        case_id: CaseId,
        photo_id: PhotoId,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> bytes:
        """Return the strong edges of the upright photo as a grey PNG; NotFoundError."""
        return self._edges(self._cases.get(case_id).photo(photo_id).sha256)

    def _make_edges(self, sha256: Sha256) -> bytes:
        return edges_png(self._blobs.get(sha256))

    def _make_preview(self, sha256: Sha256, longest_side_px: int | None) -> bytes:
        return upright_jpeg(self._blobs.get(sha256), longest_side_px=longest_side_px)

    def _apply(
        self, case_id: CaseId, command: DescribeVehicle | DescribeIncident, by: Operator
    ) -> Case:
        signed = Signed(by=by.name, at=self._clock())
        check = self._guard.check(command, by)
        return self._cases.apply(case_id, command, signed, check=check).after

    def _next_reference(self, signed: Signed) -> str:
        prefix = f"{signed.at:%Y}-"
        number = self._cases.count(search=prefix) + 1
        while self._is_taken(f"{prefix}{number:04d}"):
            number += 1
        return f"{prefix}{number:04d}"

    def _is_taken(self, reference: str) -> bool:
        try:
            self._cases.id_of(reference)
        except NotFoundError:
            return False
        return True


def _read_or_refused(data: bytes) -> PhotoReading | PhotoRejectedError:
    """Return what is read of a file, or why it is refused; too large a file is not even read."""
    if len(data) > MAX_PHOTO_BYTES:
        return PhotoRejectedError(_TOO_LARGE)
    try:
        return read_photo(data)
    except PhotoRejectedError as error:
        return error


def _check_counts(case: Case, data: bytes) -> None:
    if len(data) > MAX_PHOTO_BYTES:
        raise PhotoRejectedError(_TOO_LARGE)
    if len(case.photos) >= MAX_PHOTOS_PER_CASE:
        raise PhotoRejectedError(f"A case holds at most {MAX_PHOTOS_PER_CASE} photos.")


def _checked_reference(reference: str) -> str:
    kept = " ".join(checked_text(reference, "The case reference").split())
    if not 1 <= len(kept) <= 60:
        raise InvalidInputError("A case reference has 1 to 60 characters.")
    return kept


# Right-to-left overrides and the like can make "exe.jpg" read as "gpj.exe".
_REORDERING = dict.fromkeys(
    [*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C]
)


def _shown_name(file_name: str) -> str:
    """Return a file name fit to be shown: last part only, no control characters, 120 at most.

    It is only ever shown; no path is ever made of it.
    """
    last = file_name.replace("\\", "/").rsplit("/", 1)[-1].translate(_REORDERING)
    printable = "".join(c for c in last if c.isprintable()).strip()
    return printable[:120] or "photo"
