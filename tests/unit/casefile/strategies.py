"""Whole cases by chance: every field, every outline, only values that a case may hold."""

from datetime import UTC, datetime

from hypothesis import strategies as st

from rules import (
    ComponentId,
    DamageId,
    EvidenceKind,
    HvFlag,
    OpenTestId,
    Powertrain,
    Risk,
    Side,
    TestOutcome,
    ZoneId,
)
from tests.unit.casefile.gate_strategies import admission_entries, inspection_entries
from tests.unit.casefile.safing_strategies import safing_entries
from triage_app.domain.case import (
    Case,
    Finding,
    IssuedReport,
    Mark,
    Measures,
    Photo,
    PhotoPair,
    PhotoQuality,
    Release,
    Tags,
    Withdrawal,
)
from triage_app.domain.clocks import CameraClock
from triage_app.domain.evidence import (
    Decision,
    EvidenceEntry,
    EvidenceRecord,
    Instruction,
    Instrument,
    MakerCriterion,
    SeenCar,
    SeenFinding,
    Verdict,
)
from triage_app.domain.geometry import Ellipse, Point, Rings, RingShape, polygon, rectangle
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, MarkId, PhotoId, ReviewId, Sha256
from triage_app.domain.impact_line import ImpactLine
from triage_app.domain.plan_view import PlanPin
from triage_app.domain.proposals import Opinion, OrangeOpinion
from triage_app.domain.review.entries import GivenReview, Review, ReviewVerdict
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Answer, Incident, Vehicle

ids = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_-]{0,20}", fullmatch=True)
hashes = st.binary(min_size=32, max_size=32).map(lambda raw: Sha256(raw.hex()))
notes = st.text(max_size=40)
names = st.text(st.characters(categories=["L", "N", "P"]), min_size=1, max_size=20)
times = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - bounds
camera_times = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1))  # noqa: DTZ001 - no zone
fractions = st.floats(0, 1)
maybe_mm = st.none() | st.floats(0, 10_000)
maybe_bool = st.none() | st.booleans()
signatures = st.builds(Signed, by=names, at=times)

SIDE_PX = 1_000

corners = st.tuples(st.floats(0, 0.4), st.floats(0, 0.4), st.floats(0.5, 1), st.floats(0.5, 1))
rectangles = corners.map(lambda at: rectangle(*at))
triangles = corners.map(lambda at: polygon([(at[0], at[1]), (at[2], at[1]), (at[2], at[3])]))
ringed = corners.map(
    lambda at: Rings(
        shape=RingShape.POLYGON,
        rings=(
            rectangle(*at).rings[0],
            (Point(0.42, 0.42), Point(0.45, 0.42), Point(0.45, 0.45)),
        ),
    )
)
ellipses = st.builds(
    Ellipse,
    centre=st.builds(Point, st.floats(0.3, 0.7), st.floats(0.3, 0.7)),
    radius_x_px=st.floats(0.5, 200),
    radius_y_px=st.floats(0.5, 200),
    angle_deg=st.floats(-360, 360),
)
outlines = rectangles | triangles | ringed | ellipses

measures = st.builds(
    Measures,
    length_mm=maybe_mm,
    width_mm=maybe_mm,
    depth_mm=maybe_mm,
    distance_to_hv_mm=maybe_mm,
    distance_uncertainty_mm=maybe_mm,
    covers_off=maybe_bool,
    measured_how=notes,
)
tags = st.builds(
    Tags,
    component=st.none() | ids.map(ComponentId),
    damage=st.none() | ids.map(DamageId),
    zone=st.none() | ids.map(ZoneId),
    side=st.none() | st.sampled_from(Side),
    measures=measures,
    hv_conductor_visible=maybe_bool,
    hangs_free=maybe_bool,
    note=notes,
)
vehicles = st.builds(
    Vehicle,
    description=notes,
    plate=notes,
    vin=st.none() | st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=17, max_size=17),
    powertrain=st.sampled_from(Powertrain),
    system_voltage_v=st.none() | st.floats(0, 1500),
    battery_energy_kwh=st.none() | st.floats(0, 1000),
    battery_chemistry=notes,
    charge_on_arrival_percent=st.none() | st.floats(0, 100),
    odometer_km=st.none() | st.floats(0, 5_000_000),
)
answers = st.sampled_from(Answer)
incidents = st.builds(
    Incident,
    happened_on=notes,
    what_happened=notes,
    arrived_how=notes,
    insurer_reference=notes,
    pre_loss_value=st.none() | st.decimals(0, 999_999_999, places=2),
    currency=notes,
    smoke=answers,
    fire=answers,
    water=answers,
    hissing=answers,
    odour=answers,
    popping=answers,
    rising_temperature=answers,
    swelling=answers,
    battery_leak=answers,
    broken_battery_mounts=answers,
    crushed_lifting_points=answers,
)
photo_qualities = st.builds(
    PhotoQuality,
    sharpness=st.floats(0, 1e6),
    mean_brightness=fractions,
    clipped_dark_frac=fractions,
    clipped_bright_frac=fractions,
    complaints=st.lists(names, max_size=2).map(tuple),
)


plan_pins = st.builds(PlanPin, x_frac=fractions, y_frac=fractions, signed=signatures)
impact_lines = st.builds(
    ImpactLine,
    start_x_frac=fractions,
    start_y_frac=st.floats(0.0, 0.4),
    end_x_frac=fractions,
    end_y_frac=st.floats(0.6, 1.0),
    signed=signatures,
)
clocks = st.builds(
    CameraClock,
    camera=st.just("") | names,
    shown=st.datetimes(datetime(2030, 1, 1), datetime(2035, 1, 1)),  # noqa: DTZ001 - no zone
    really=st.datetimes(datetime(2030, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001 - bounds
    signed=signatures,
)


@st.composite
def photos(draw: st.DrawFn, number: int) -> Photo:
    areas = draw(st.lists(rectangles | ringed, max_size=2).map(tuple))
    return Photo(
        id=PhotoId(f"P{number}"),
        sha256=Sha256(f"{number:064x}"),
        file_name=draw(names),
        media_type=draw(st.sampled_from(["image/jpeg", "image/heic", "image/png"])),
        byte_count=draw(st.integers(1, 10**9)),
        width_px=SIDE_PX,
        height_px=SIDE_PX,
        taken_at=draw(st.none() | camera_times),
        quality=draw(photo_qualities),
        orange_areas=areas,
        orange_opinions=tuple(
            OrangeOpinion(
                area=area,
                opinion=draw(st.sampled_from(Opinion)),
                reason=draw(names),
                signed=draw(signatures),
            )
            for area in range(draw(st.integers(0, len(areas))))
        ),
        camera=draw(st.just("") | names),
        plan_pin=draw(st.none() | plan_pins),
        nothing_found=draw(st.none() | signatures),
        added=draw(signatures),
    )


@st.composite
def findings(draw: st.DrawFn, number: int, photo_count: int) -> Finding:
    mark_count = draw(st.integers(0, 2)) if photo_count else 0
    marks = tuple(
        Mark(
            id=MarkId(f"M{number}-{at}"),
            photo_id=PhotoId(f"P{draw(st.integers(1, photo_count))}"),
            outline=draw(outlines),
            revision=draw(st.integers(1, 9)),
        )
        for at in range(mark_count)
    )
    return Finding(
        id=FindingId(f"F{number}"),
        number=number,
        tags=draw(tags),
        marks=marks,
        revision=draw(st.integers(1, 9)),
        created=draw(signatures),
        withdrawn=draw(st.none() | st.builds(Withdrawal, reason=names, signed=signatures)),
    )


def entries() -> st.SearchStrategy[EvidenceEntry]:
    criteria = st.builds(MakerCriterion, text=names, document=names, document_date=names)
    instruments = st.builds(
        Instrument, name=names, serial=notes, calibration_due=st.none() | st.dates()
    )
    measured = st.tuples(st.none(), st.just("")) | st.tuples(st.floats(-1e12, 1e12), names)
    tests = st.builds(
        lambda measured, **rest: EvidenceEntry(
            kind=EvidenceKind.TEST_RESULT, value=measured[0], unit=measured[1], **rest
        ),
        measured,
        test=ids.map(OpenTestId),
        outcome=st.sampled_from(TestOutcome),
        instrument=st.none() | instruments,
        criterion=st.none() | criteria,
        note=notes,
    )
    words = st.builds(
        EvidenceEntry,
        kind=st.just(EvidenceKind.MAKER_INSTRUCTION),
        instruction=st.sampled_from(Instruction),
        criterion=criteria,
        note=notes,
    )
    parts = st.builds(EvidenceEntry, kind=st.just(EvidenceKind.PART_REPLACED), note=notes)
    return tests | words | parts


releases = st.builds(Release, journal_head=hashes, journal_count=st.integers(1, 10_000))


@st.composite
def reviews(draw: st.DrawFn, number: int, found: tuple[Finding, ...]) -> Review:
    """Return a verdict about one of the findings."""
    review_id = ReviewId(f"V{number}")
    given = GivenReview(
        id=review_id,
        finding_id=draw(st.sampled_from(found)).id,
        verdict=draw(st.sampled_from(ReviewVerdict)),
        hv_flag=draw(st.sampled_from(HvFlag)),
        risk=draw(st.sampled_from(Risk)),
        reason=draw(names),
        content=draw(notes),
    )
    return Review(id=review_id, given=given, signed=draw(signatures))


@st.composite
def evidence(draw: st.DrawFn, number: int, found: tuple[Finding, ...]) -> EvidenceRecord:
    """Return a record about one finding, or about the whole car where there is none."""
    about = draw(st.sampled_from(found)) if found else None
    seen = (about,) if about else found
    ends = draw(st.sampled_from([(), (Verdict.ACCEPTED,), (Verdict.ACCEPTED, Verdict.WITHDRAWN)]))
    return EvidenceRecord(
        id=EvidenceId(f"E{number}"),
        number=number,
        finding_id=about.id if about else None,
        seen=tuple(SeenFinding(finding_id=one.id, revision=one.revision) for one in seen),
        seen_car=SeenCar(
            powertrain=draw(st.sampled_from(Powertrain)),
            system_voltage_v=draw(st.none() | st.floats(0, 1500)),
        ),
        entry=draw(entries()),
        recorded=Signed(by="Recorder", at=draw(times)),
        decisions=tuple(
            Decision(verdict=verdict, reason=draw(names), signed=Signed(by="Other", at=draw(times)))
            for verdict in ends
        ),
    )


@st.composite
def cases(draw: st.DrawFn) -> Case:
    photo_count = draw(st.integers(0, 3))
    found = tuple(
        draw(findings(number, photo_count)) for number in range(1, draw(st.integers(0, 3)) + 1)
    )
    return Case(
        id=CaseId(draw(ids)),
        reference=draw(names),
        revision=draw(st.integers(1, 10_000)),
        opened=draw(signatures),
        vehicle=draw(vehicles),
        incident=draw(incidents),
        photos=tuple(draw(photos(number)) for number in range(1, photo_count + 1)),
        findings=found,
        evidence=tuple(
            draw(evidence(number, found)) for number in range(1, draw(st.integers(0, 2)) + 1)
        ),
        reports=tuple(
            IssuedReport(
                sha256=Sha256(f"{number:064x}"),
                case_revision=draw(st.integers(1, 9)),
                rulebook_sha256=draw(hashes),
                file_name=draw(names),
                issued=draw(signatures),
                release=draw(st.none() | releases),
            )
            for number in range(draw(st.integers(0, 2)))
        ),
        reviews=tuple(
            draw(reviews(number, found))
            for number in range(1, draw(st.integers(0, 2)) + 1)
            if found
        ),
        safing=draw(safing_entries(photo_count)),
        admission=draw(admission_entries()),
        impact_line=draw(st.none() | impact_lines),
        inspection=draw(inspection_entries(photo_count)),
        clocks=draw(st.lists(clocks, max_size=2, unique_by=lambda clock: clock.camera).map(tuple)),
        photo_pairs=tuple(
            PhotoPair(
                before_id=PhotoId(f"P{number}"),
                after_id=PhotoId(f"P{number + 1}"),
                signed=draw(signatures),
            )
            for number in range(1, photo_count)
        ),
    )
