"""Values for tests: each test states only what matters to it."""

import hashlib
import io
from datetime import UTC, datetime, timedelta

from PIL import Image, ImageDraw

from rules import (
    ComponentId,
    DamageId,
    EvidenceKind,
    OpenTestId,
    TestOutcome,
    ZoneId,
)
from triage_app.domain.case import (
    Case,
    Finding,
    Mark,
    Measures,
    Photo,
    PhotoQuality,
    Tags,
)
from triage_app.domain.evidence import (
    EvidenceEntry,
    Instruction,
    Instrument,
    MakerCriterion,
    SeenCar,
    SeenFinding,
)
from triage_app.domain.evidence_commands import RecordEvidence
from triage_app.domain.geometry import Outline, Rings, rectangle
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, MarkId, PhotoId, Sha256
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.vehicle import SIGNS, Answer, Incident, Vehicle

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
NO_SIGNS = Incident(**dict.fromkeys(SIGNS, Answer.NO))  # type: ignore[arg-type]  # signs only
ESTIMATOR = Operator(name="Erin Estimator", roles=frozenset({Role.ESTIMATOR}))
SIGNED = Signed(by=ESTIMATOR.name, at=NOON)


def an_estimator(name: str) -> Operator:
    return Operator(name=name, roles=frozenset({Role.ESTIMATOR}))


def a_jpeg(
    width_px: int = 640, height_px: int = 480, *, seed: int = 0, orientation: int | None = None
) -> bytes:
    """Return a small JPEG with some detail; a different seed gives different bytes."""
    picture = Image.new("RGB", (width_px, height_px), (90, 92, 96))
    pen = ImageDraw.Draw(picture)
    for step in range(24):
        x = (step * 97 + seed * 31) % width_px
        y = (step * 61 + seed * 17) % height_px
        tone = 40 + (step * 37 + seed * 11) % 180
        pen.rectangle((x, y, x + 30, y + 22), fill=(tone, tone, 255 - tone), outline="white")
    exif = Image.Exif()
    if orientation is not None:
        exif[0x0112] = orientation
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=90, exif=exif)
    return out.getvalue()


def a_photo(
    number: int = 1,
    *,
    width_px: int = 640,
    height_px: int = 480,
    sha256: str | None = None,
    orange_areas: tuple[Rings, ...] = (),
) -> Photo:
    name = sha256 or hashlib.sha256(f"photo {number}".encode()).hexdigest()
    return Photo(
        id=PhotoId(f"P{name[:16]}"),
        sha256=Sha256(name),
        file_name=f"underside-{number}.jpg",
        media_type="image/jpeg",
        byte_count=12_345,
        width_px=width_px,
        height_px=height_px,
        taken_at=datetime(2031, 5, 4, 9, number % 60),  # noqa: DTZ001 - the camera has no zone
        quality=PhotoQuality(
            sharpness=100.0, mean_brightness=0.4, clipped_dark_frac=0.0, clipped_bright_frac=0.0
        ),
        orange_areas=orange_areas,
        added=SIGNED,
    )


def a_mark(number: int = 1, *, photo: Photo | None = None, outline: Outline | None = None) -> Mark:
    return Mark(
        id=MarkId(f"M{number}"),
        photo_id=(photo or a_photo()).id,
        outline=outline or rectangle(0.2, 0.3, 0.4, 0.5),
    )


def some_tags(
    component: str | None = "hv_cable",
    damage: str | None = "severed",
    *,
    zone: str | None = None,
    measures: Measures | None = None,
    note: str = "",
) -> Tags:
    return Tags(
        component=None if component is None else ComponentId(component),
        damage=None if damage is None else DamageId(damage),
        zone=None if zone is None else ZoneId(zone),
        measures=measures or Measures(),
        note=note,
    )


# Measured far from any fixed HV part: a hanging cable may put it within reach, never at HV.
FAR_FROM_HV = Measures(
    distance_to_hv_mm=1_900, distance_uncertainty_mm=50, covers_off=True, measured_how="tape"
)


def a_finding(
    number: int = 1, *, tags: Tags | None = None, marks: tuple[Mark, ...] | None = None
) -> Finding:
    return Finding(
        id=FindingId(f"F{number}"),
        number=number,
        tags=some_tags() if tags is None else tags,
        marks=(a_mark(number),) if marks is None else marks,
        created=SIGNED,
    )


def a_case(
    *findings: Finding,
    photos: tuple[Photo, ...] | None = None,
    reference: str = "R-0001",
    vehicle: Vehicle | None = None,
    incident: Incident | None = None,
) -> Case:
    return Case(
        id=CaseId("case-" + reference.lower()),
        reference=reference,
        opened=SIGNED,
        vehicle=vehicle or Vehicle(description="Invented hatchback", system_voltage_v=400.0),
        incident=incident or Incident(),
        photos=(a_photo(),) if photos is None else photos,
        findings=findings,
    )


SENIOR = Operator(name="Sam Senior", roles=frozenset({Role.SENIOR_TECHNICIAN}))
ADJUSTER = Operator(name="Ida Insurer", roles=frozenset({Role.ADJUSTER}))
ADMINISTRATOR = Operator(name="Abe Administrator", roles=frozenset({Role.ADMINISTRATOR}))
A_CRITERION = MakerCriterion(
    text="At least 500 ohm per volt", document="Invented repair manual 7-2", document_date="2030-06"
)
AN_INSTRUMENT = Instrument(
    name="Insulation tester", serial="IT-1", calibration_due=NOON.date() + timedelta(days=90)
)


def a_test(
    test: str = "isolation_resistance",
    outcome: TestOutcome = TestOutcome.MET,
    *,
    value: float | None = None,
    instrument: Instrument | None = None,
    criterion: MakerCriterion | None = A_CRITERION,
) -> EvidenceEntry:
    return EvidenceEntry(
        kind=EvidenceKind.TEST_RESULT,
        test=OpenTestId(test),
        outcome=outcome,
        value=value,
        unit="" if value is None else "Mohm",
        instrument=instrument,
        criterion=criterion,
    )


def an_instruction(instruction: Instruction = Instruction.REPLACE) -> EvidenceEntry:
    return EvidenceEntry(
        kind=EvidenceKind.MAKER_INSTRUCTION, instruction=instruction, criterion=A_CRITERION
    )


A_REPLACED_PART = EvidenceEntry(kind=EvidenceKind.PART_REPLACED, note="New cable fitted.")


def record_of(
    entry: EvidenceEntry,
    finding: Finding | None = None,
    *,
    record_id: str = "E1",
    whole_car: Case | None = None,
    replaces: str | None = None,
    seen_car: SeenCar | None = None,
) -> RecordEvidence:
    """Return the command that puts ``entry`` on record for one finding, or for a whole car."""
    about = (finding,) if finding is not None else whole_car.open_findings if whole_car else ()
    return RecordEvidence(
        record_id=EvidenceId(record_id),
        finding_id=finding.id if finding is not None else None,
        seen=tuple(SeenFinding(finding_id=one.id, revision=one.revision) for one in about),
        seen_car=seen_car or SeenCar.of((whole_car or a_case()).vehicle),
        entry=entry,
        replaces=None if replaces is None else EvidenceId(replaces),
    )
