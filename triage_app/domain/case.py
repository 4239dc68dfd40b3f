"""A case and what it holds. Every value is frozen: a change makes a new value.

Nothing is ever deleted: a finding is withdrawn with a reason, a removed mark stays in the journal.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Final, Self

from rules import ComponentId, DamageId, Side, ZoneId
from triage_app.domain.admission.entries import AdmissionEntry
from triage_app.domain.clocks import CameraClock, real_time
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.evidence import EvidenceRecord
from triage_app.domain.geometry import Outline, Rings
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, MarkId, PhotoId, Sha256
from triage_app.domain.impact_line import ImpactLine
from triage_app.domain.inspection.entries import InspectionEntry
from triage_app.domain.measuring import FromPhoto, Reference, Size
from triage_app.domain.plan.given import PlanGiven
from triage_app.domain.plan_view import PlanPin
from triage_app.domain.proposals import OrangeOpinion
from triage_app.domain.review.entries import Review
from triage_app.domain.safing.entries import SafingEntry
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Incident, Vehicle, checked_number, checked_text

CASE_FORMAT: Final = 1
MAX_LENGTH_MM = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoQuality:
    """What the pixels say of a photo. ``complaints`` are sentences asking for a retake."""

    sharpness: float
    mean_brightness: float
    clipped_dark_frac: float
    clipped_bright_frac: float
    complaints: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo of the case. ``sha256`` names the untouched original; sizes are of the upright one.

    ``taken_at`` is the camera's own clock from EXIF, without a zone, or None when it has none.
    ``orange_areas`` are machine-made suggestions of HV cable; they can raise a flag, never lower.
    ``camera`` is make and model, never a serial number; empty when the file does not tell.
    ``nothing_found`` is who looked and saw no damage; it clears nothing.
    ``reference`` is a thing of known size that a person pointed at, where no card is in it.
    """

    id: PhotoId
    sha256: Sha256
    file_name: str
    media_type: str
    byte_count: int
    width_px: int
    height_px: int
    taken_at: datetime | None
    quality: PhotoQuality
    orange_areas: tuple[Rings, ...] = ()
    orange_opinions: tuple[OrangeOpinion, ...] = ()
    camera: str = ""
    plan_pin: PlanPin | None = None
    nothing_found: Signed | None = None
    reference: Reference | None = None
    added: Signed

    def opinion_on(self, area: int) -> OrangeOpinion | None:
        """Return the last opinion about one orange area, or None when nobody gave one."""
        given = [opinion for opinion in self.orange_opinions if opinion.area == area]
        return given[-1] if given else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPair:
    """Two photos of one place, before and after something was taken off there."""

    before_id: PhotoId
    after_id: PhotoId
    signed: Signed

    def __post_init__(self) -> None:
        if self.before_id == self.after_id:
            raise InvalidInputError("A pair needs two photos.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An outline on one photo. ``revision`` rises with each reshape."""

    id: MarkId
    photo_id: PhotoId
    outline: Outline
    revision: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Sizes of the damage and how they were measured. None is not measured, never zero.

    ``distance_to_hv_mm`` is the shortest way to the nearest HV part, ``..._uncertainty_mm`` the
    half-width of its 95 % interval; ``covers_off`` says whether shields were off when measured.
    ``sources`` tell which of them came from a photo with a scale; all others were typed.
    """

    length_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    distance_to_hv_mm: float | None = None
    distance_uncertainty_mm: float | None = None
    covers_off: bool | None = None
    measured_how: str = ""
    sources: tuple[FromPhoto, ...] = ()

    def __post_init__(self) -> None:
        # A source says where *this* number is from; typed over, it has nothing to say any more.
        holds = {source.size: source for source in self.sources if self._is_from(source)}
        object.__setattr__(self, "sources", tuple(holds[size] for size in Size if size in holds))
        for name, what in (
            ("length_mm", "The length in mm"),
            ("width_mm", "The width in mm"),
            ("depth_mm", "The depth in mm"),
            ("distance_to_hv_mm", "The distance to HV in mm"),
            ("distance_uncertainty_mm", "The uncertainty in mm"),
        ):
            checked_number(getattr(self, name), what, 0, MAX_LENGTH_MM)
        how = checked_text(self.measured_how, "How it was measured")
        object.__setattr__(self, "measured_how", how)

    def source_of(self, size: Size) -> FromPhoto | None:
        """Return the photo measurement behind a size, or None where it was typed or is absent."""
        return next((source for source in self.sources if source.size is size), None)

    def _is_from(self, source: FromPhoto) -> bool:
        return bool(getattr(self, source.size.value) == source.value_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tags:
    """What a person says of a finding. None is "not said yet" and counts as worse."""

    component: ComponentId | None = None
    damage: DamageId | None = None
    zone: ZoneId | None = None
    side: Side | None = None
    measures: Measures = Measures()
    hv_conductor_visible: bool | None = None
    hangs_free: bool | None = None
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "note", checked_text(self.note, "The note"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """Why a finding no longer counts, by whom and when. The finding stays on record."""

    reason: str
    signed: Signed

    def __post_init__(self) -> None:
        reason = checked_text(self.reason, "The reason")
        if not reason:
            raise InvalidInputError("Say why the finding is withdrawn.")
        object.__setattr__(self, "reason", reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One damage to one part. ``number`` is never used again; ``revision`` rises with each edit."""

    id: FindingId
    number: int
    tags: Tags = Tags()
    marks: tuple[Mark, ...] = ()
    revision: int = 1
    created: Signed
    withdrawn: Withdrawal | None = None

    @property
    def is_blank(self) -> bool:
        """True when neither a mark nor a word is left of it, as after taking back a first mark."""
        return not self.marks and self.tags == Tags()

    @property
    def is_open(self) -> bool:
        """True when it counts: neither withdrawn nor blank."""
        return self.withdrawn is None and not self.is_blank


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """What a released report was signed over: the journal as it stood, by hash and count."""

    journal_head: str
    journal_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedReport:
    """A Word report that was handed out: its own hash and the revision of the case it shows.

    ``release`` is None for a draft. A report that was released stays what it is, whatever becomes
    of the case; the next one is a draft again.
    """

    sha256: Sha256
    case_revision: int
    rulebook_sha256: str
    file_name: str
    issued: Signed
    release: Release | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One car, once. ``revision`` rises with each stored change."""

    id: CaseId
    reference: str
    revision: int = 1
    opened: Signed
    vehicle: Vehicle = Vehicle()
    incident: Incident = Incident()
    photos: tuple[Photo, ...] = ()
    findings: tuple[Finding, ...] = ()
    reports: tuple[IssuedReport, ...] = ()
    evidence: tuple[EvidenceRecord, ...] = ()
    clocks: tuple[CameraClock, ...] = ()
    photo_pairs: tuple[PhotoPair, ...] = ()
    safing: tuple[SafingEntry, ...] = ()
    admission: tuple[AdmissionEntry, ...] = ()
    inspection: tuple[InspectionEntry, ...] = ()
    plan: PlanGiven | None = None
    impact_line: ImpactLine | None = None
    reviews: tuple[Review, ...] = ()

    def photo(self, photo_id: PhotoId) -> Photo:
        for photo in self.photos:
            if photo.id == photo_id:
                return photo
        raise NotFoundError(f"Case {self.reference} has no photo {photo_id}.")

    def photo_with(self, sha256: Sha256) -> Photo | None:
        return next((photo for photo in self.photos if photo.sha256 == sha256), None)

    def finding(self, finding_id: FindingId) -> Finding:
        for finding in self.findings:
            if finding.id == finding_id:
                return finding
        raise NotFoundError(f"Case {self.reference} has no finding {finding_id}.")

    def find_finding(self, finding_id: FindingId) -> Finding | None:
        return next((finding for finding in self.findings if finding.id == finding_id), None)

    def finding_of(self, mark_id: MarkId) -> Finding | None:
        for finding in self.findings:
            if any(mark.id == mark_id for mark in finding.marks):
                return finding
        return None

    @property
    def last_release(self) -> IssuedReport | None:
        """The report that was released last, or None while none was."""
        released = [report for report in self.reports if report.release is not None]
        return released[-1] if released else None

    def evidence_record(self, record_id: EvidenceId) -> EvidenceRecord:
        for record in self.evidence:
            if record.id == record_id:
                return record
        raise NotFoundError(f"Case {self.reference} has no record of evidence {record_id}.")

    @property
    def cameras(self) -> tuple[str, ...]:
        """Every camera that a photo tells of, in order of name."""
        return tuple(sorted({photo.camera for photo in self.photos if photo.camera}))

    def really_taken_at(self, photo: Photo) -> datetime | None:
        """Return when a photo was really taken, in UTC, or None where nobody can tell."""
        return real_time(photo.taken_at, photo.camera, self.clocks)

    @property
    def photos_by_time(self) -> tuple[Photo, ...]:
        """The photos by corrected time; those without one keep their place at the end."""
        times = {photo.id: self.really_taken_at(photo) for photo in self.photos}
        last = datetime.max.replace(tzinfo=UTC)
        return tuple(sorted(self.photos, key=lambda photo: times[photo.id] or last))

    @property
    def open_findings(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.is_open)

    @property
    def next_number(self) -> int:
        return max((finding.number for finding in self.findings), default=0) + 1

    @property
    def next_evidence_number(self) -> int:
        return max((record.number for record in self.evidence), default=0) + 1

    def marks_on(self, photo_id: PhotoId) -> tuple[tuple[Finding, Mark], ...]:
        """Every mark on one photo with its finding, open findings only, in order of number."""
        return tuple(
            (finding, mark)
            for finding in self.open_findings
            for mark in finding.marks
            if mark.photo_id == photo_id
        )

    @property
    def photos_to_look_at(self) -> tuple[Photo, ...]:
        """The photos on which nobody marked anything, nor said that there is nothing."""
        marked = {mark.photo_id for finding in self.open_findings for mark in finding.marks}
        return tuple(
            photo for photo in self.photos if not (photo.id in marked or photo.nothing_found)
        )

    def with_photo(self, photo: Photo) -> Self:
        return replace(self, photos=(*self.photos, photo))

    def with_finding(self, finding: Finding) -> Self:
        """Put ``finding`` in the place of the one with its id, or at the end."""
        others: Iterable[Finding] = self.findings
        if self.find_finding(finding.id) is None:
            return replace(self, findings=(*others, finding))
        kept = tuple(finding if old.id == finding.id else old for old in others)
        return replace(self, findings=kept)

    def with_evidence(self, record: EvidenceRecord) -> Self:
        """Put ``record`` in the place of the one with its id, or at the end."""
        if all(old.id != record.id for old in self.evidence):
            return replace(self, evidence=(*self.evidence, record))
        kept = tuple(record if old.id == record.id else old for old in self.evidence)
        return replace(self, evidence=kept)
