"""Whether the parts of a case that came from outside fit together."""

from collections.abc import Iterable, Iterator

from triage_app.domain.admission.entries import AdmissionEntry, HoldDecided
from triage_app.domain.case import (
    Case,
    Finding,
    IssuedReport,
    Mark,
    Photo,
)
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import EvidenceRecord, Verdict
from triage_app.domain.geometry import check_inside
from triage_app.domain.ids import EvidenceId, PhotoId, checked_id, checked_sha256
from triage_app.domain.inspection.entries import InspectionEntry, PhotosPointedAt
from triage_app.domain.signed import Signed, is_same_person
from triage_app.domain.vehicle import SIGNS

MAX_SIDE_PX = 100_000
MAX_NAME = 400

_VERDICTS = {
    (),
    (Verdict.ACCEPTED,),
    (Verdict.DECLINED,),
    (Verdict.WITHDRAWN,),
    (Verdict.ACCEPTED, Verdict.WITHDRAWN),
    (Verdict.DECLINED, Verdict.WITHDRAWN),
}

Path = tuple[str | int, ...]
Fault = tuple[Path, str]


def faults_of(case: Case) -> Iterator[Fault]:
    """Yield every fault as its place and a sentence; none means that the case fits together."""
    yield from _text(("reference",), case.reference, longest=60)
    yield from _id(("id",), case.id)
    yield from _from_one(("revision",), case.revision)
    yield from _signed(("opened",), case.opened)
    for index, photo in enumerate(case.photos):
        yield from _photo(("photos", index), photo)
    yield from _repeated("photos", "id", (photo.id for photo in case.photos))
    yield from _repeated("photos", "sha256", (photo.sha256 for photo in case.photos))
    yield from _findings(case)
    for index, report in enumerate(case.reports):
        yield from _report(("reports", index), report)
    yield from _repeated("reports", "sha256", (report.sha256 for report in case.reports))
    yield from _evidence(case)
    yield from _pairs(case)
    yield from _safing(case)
    yield from _admission(case)
    yield from _inspection(case)
    yield from _reviews(case)


def _safing(case: Case) -> Iterator[Fault]:
    photos = {photo.id for photo in case.photos}
    for index, entry in enumerate(case.safing):
        place: Path = ("safing", index)
        yield from _id((*place, "id"), entry.id)
        yield from _signed((*place, "recorded"), entry.recorded)
        if entry.number != index + 1:
            yield (*place, "number"), f"entries count from 1 without a gap, got {entry.number}."
        if entry.photo_id is not None and entry.photo_id not in photos:
            yield (*place, "photo_id"), f"the case has no photo '{entry.photo_id}'."
    yield from _repeated("safing", "id", (entry.id for entry in case.safing))


def _admission(case: Case) -> Iterator[Fault]:
    known: set[str] = {*(one.id for one in case.admission), *(one.id for one in case.safing)}
    for index, entry in enumerate(case.admission):
        place: Path = ("admission", index)
        yield from _entry(place, entry, index)
        if isinstance(entry.what, HoldDecided):
            for at, cause in enumerate(entry.what.seen):
                here: Path = (*place, "what", "seen", at)
                if cause.sign not in SIGNS:
                    yield (*here, "sign"), f"there is no sign '{cause.sign}'."
                if cause.answered_in is not None and cause.answered_in not in known:
                    yield (*here, "answered_in"), f"there is no entry '{cause.answered_in}'."
    yield from _repeated("admission", "id", (entry.id for entry in case.admission))


def _inspection(case: Case) -> Iterator[Fault]:
    photos = {photo.id for photo in case.photos}
    for index, entry in enumerate(case.inspection):
        place: Path = ("inspection", index)
        yield from _entry(place, entry, index)
        if isinstance(entry.what, PhotosPointedAt):
            for at, photo_id in enumerate(entry.what.photo_ids):
                if photo_id not in photos:
                    yield (*place, "what", "photo_ids", at), f"the case has no photo '{photo_id}'."
        else:
            for at, item in enumerate(entry.what.items):
                for name, word in (("zone", item.zone), ("component", item.component)):
                    yield from _id((*place, "what", "items", at, name), word)
    yield from _repeated("inspection", "id", (entry.id for entry in case.inspection))


def _entry(place: Path, entry: AdmissionEntry | InspectionEntry, index: int) -> Iterator[Fault]:
    yield from _id((*place, "id"), entry.id)
    yield from _signed((*place, "recorded"), entry.recorded)
    if entry.number != index + 1:
        yield (*place, "number"), f"entries count from 1 without a gap, got {entry.number}."


def _reviews(case: Case) -> Iterator[Fault]:
    findings = {finding.id for finding in case.findings}
    for index, review in enumerate(case.reviews):
        place: Path = ("reviews", index)
        yield from _id((*place, "id"), review.id)
        yield from _signed((*place, "signed"), review.signed)
        if review.given.id != review.id:
            yield (*place, "given", "id"), f"this is review '{review.id}'."
        if review.given.finding_id not in findings:
            yield (*place, "given"), f"the case has no finding '{review.given.finding_id}'."
    yield from _repeated("reviews", "id", (review.id for review in case.reviews))


def _pairs(case: Case) -> Iterator[Fault]:
    known = {photo.id for photo in case.photos}
    for index, pair in enumerate(case.photo_pairs):
        place: Path = ("photo_pairs", index)
        yield from _signed((*place, "signed"), pair.signed)
        for name, photo_id in (("before_id", pair.before_id), ("after_id", pair.after_id)):
            if photo_id not in known:
                yield (*place, name), f"the case has no photo '{photo_id}'."
    if case.impact_line is not None:
        yield from _signed(("impact_line", "signed"), case.impact_line.signed)
    for index, clock in enumerate(case.clocks):
        yield from _signed(("clocks", index, "signed"), clock.signed)
    yield from _repeated("clocks", "camera", (clock.camera for clock in case.clocks))


def _opinions(place: Path, photo: Photo) -> Iterator[Fault]:
    for at, opinion in enumerate(photo.orange_opinions):
        here: Path = (*place, "orange_opinions", at)
        yield from _signed((*here, "signed"), opinion.signed)
        if not 0 <= opinion.area < len(photo.orange_areas):
            yield (*here, "area"), f"this photo has {len(photo.orange_areas)} orange areas."
    if photo.nothing_found is not None:
        yield from _signed((*place, "nothing_found"), photo.nothing_found)
    if photo.plan_pin is not None:
        yield from _signed((*place, "plan_pin", "signed"), photo.plan_pin.signed)


def _findings(case: Case) -> Iterator[Fault]:
    photos = {photo.id: photo for photo in case.photos}
    seen_marks: set[str] = set()
    for index, finding in enumerate(case.findings):
        place: Path = ("findings", index)
        yield from _finding(place, finding)
        for at, mark in enumerate(finding.marks):
            yield from _mark((*place, "marks", at), mark, photos)
            if mark.id in seen_marks:
                yield (*place, "marks", at, "id"), f"'{mark.id}' is there twice."
            seen_marks.add(mark.id)
    yield from _repeated("findings", "id", (finding.id for finding in case.findings))
    yield from _repeated("findings", "number", (finding.number for finding in case.findings))


def _evidence(case: Case) -> Iterator[Fault]:
    findings = {finding.id for finding in case.findings}
    earlier: dict[EvidenceId, EvidenceRecord] = {}
    for index, record in enumerate(case.evidence):
        place: Path = ("evidence", index)
        yield from _record(place, record)
        about = [one.finding_id for one in record.seen]
        if record.finding_id is not None and about != [record.finding_id]:
            yield (*place, "seen"), "a record about one finding is bound to that finding only."
        for finding_id in about:
            if finding_id not in findings:
                yield (*place, "seen"), f"the case has no finding '{finding_id}'."
        if record.replaces is not None:
            old = earlier.get(record.replaces)
            if old is None or not record.repeats(old):
                yield (*place, "replaces"), f"no earlier record '{record.replaces}' of this test."
        earlier[record.id] = record
    yield from _repeated("evidence", "id", (record.id for record in case.evidence))
    yield from _repeated("evidence", "number", (record.number for record in case.evidence))


def _record(place: Path, record: EvidenceRecord) -> Iterator[Fault]:
    yield from _id((*place, "id"), record.id)
    yield from _from_one((*place, "number"), record.number)
    yield from _signed((*place, "recorded"), record.recorded)
    if record.entry.test is not None:
        yield from _id((*place, "entry", "test"), record.entry.test)
    for at, decision in enumerate(record.decisions):
        where = (*place, "decisions", at)
        yield from _signed((*where, "signed"), decision.signed)
        own = is_same_person(decision.signed.by, record.recorded.by)
        if own and decision.verdict is not Verdict.WITHDRAWN:
            yield (*where, "signed"), f"'{decision.signed.by}' put it on record themselves."
    verdicts = tuple(decision.verdict for decision in record.decisions)
    if verdicts not in _VERDICTS:
        yield (*place, "decisions"), "it is decided on once, and withdrawn at most once after that."


def _photo(place: Path, photo: Photo) -> Iterator[Fault]:
    yield from _id((*place, "id"), photo.id)
    yield from _sha256((*place, "sha256"), photo.sha256)
    yield from _text((*place, "file_name"), photo.file_name, longest=MAX_NAME)
    yield from _text((*place, "media_type"), photo.media_type, longest=MAX_NAME)
    yield from _from_one((*place, "byte_count"), photo.byte_count)
    for name, side_px in (("width_px", photo.width_px), ("height_px", photo.height_px)):
        if not 1 <= side_px <= MAX_SIDE_PX:
            yield (*place, name), f"a photo has 1 to {MAX_SIDE_PX} pixels, got {side_px}."
    yield from _signed((*place, "added"), photo.added)
    if photo.taken_at is not None and photo.taken_at.tzinfo is not None:
        yield (*place, "taken_at"), "the camera's own clock has no time zone."
    if photo.camera:
        yield from _text((*place, "camera"), photo.camera, longest=MAX_NAME)
    yield from _opinions(place, photo)


def _report(place: Path, report: IssuedReport) -> Iterator[Fault]:
    yield from _sha256((*place, "sha256"), report.sha256)
    yield from _from_one((*place, "case_revision"), report.case_revision)
    yield from _text((*place, "file_name"), report.file_name, longest=MAX_NAME)
    yield from _signed((*place, "issued"), report.issued)
    if report.release is not None:
        yield from _sha256((*place, "release", "journal_head"), report.release.journal_head)
        yield from _from_one((*place, "release", "journal_count"), report.release.journal_count)


def _finding(place: Path, finding: Finding) -> Iterator[Fault]:
    yield from _id((*place, "id"), finding.id)
    yield from _from_one((*place, "number"), finding.number)
    yield from _from_one((*place, "revision"), finding.revision)
    yield from _signed((*place, "created"), finding.created)
    if finding.withdrawn is not None:
        yield from _signed((*place, "withdrawn", "signed"), finding.withdrawn.signed)
    tags = finding.tags
    for name, word in (("component", tags.component), ("damage", tags.damage), ("zone", tags.zone)):
        if word is not None:
            yield from _id((*place, "tags", name), word)


def _mark(place: Path, mark: Mark, photos: dict[PhotoId, Photo]) -> Iterator[Fault]:
    yield from _id((*place, "id"), mark.id)
    yield from _from_one((*place, "revision"), mark.revision)
    photo = photos.get(mark.photo_id)
    if photo is None:
        yield (*place, "photo_id"), f"the case has no photo '{mark.photo_id}'."
        return
    try:
        check_inside(mark.outline, photo.width_px, photo.height_px)
    except InvalidInputError as error:
        yield (*place, "outline"), str(error)


def _signed(place: Path, signed: Signed) -> Iterator[Fault]:
    yield from _text((*place, "by"), signed.by, longest=MAX_NAME)


def _id(place: Path, text: str) -> Iterator[Fault]:
    try:
        checked_id(text)
    except InvalidInputError as error:
        yield place, str(error)


def _sha256(place: Path, text: str) -> Iterator[Fault]:
    try:
        checked_sha256(text)
    except InvalidInputError as error:
        yield place, str(error)


def _text(place: Path, text: str, *, longest: int) -> Iterator[Fault]:
    if not 1 <= len(text) <= longest:
        yield place, f"this text has 1 to {longest} characters, got {len(text)}."
    elif not text.isprintable():
        yield place, "this text holds characters that cannot be shown."


def _from_one(place: Path, number: int) -> Iterator[Fault]:
    if not 1 <= number < 2**53:
        yield place, f"this number counts from 1, got {number}."


def _repeated(items: str, name: str, values: Iterable[object]) -> Iterator[Fault]:
    seen: set[object] = set()
    for index, value in enumerate(values):
        if value in seen:
            yield (items, index, name), f"'{value}' is there twice."
        seen.add(value)
