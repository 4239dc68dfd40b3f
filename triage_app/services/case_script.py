"""Take in a whole case in one go from a case file (TOML) and the photos beside it.

Everything that can be checked is checked before anything is stored. Ids are made from the text
of the case file, so that running the same file again finishes a run that was cut short and
otherwise changes nothing.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path

from rules import ComponentId, DamageId, ZoneId
from triage_app.casefile.case_toml import (
    CaseToml,
    FindingTable,
    MarkTable,
    PhotoTable,
    read_case_toml,
)
from triage_app.domain.case import Case, Measures, Operator, Tags
from triage_app.domain.errors import InvalidInputError, PhotoRejectedError
from triage_app.domain.geometry import Ellipse, Outline, Point, Rings, RingShape, rectangle
from triage_app.domain.ids import CaseId, FindingId, MarkId, PhotoId
from triage_app.domain.vehicle import Incident, Vehicle
from triage_app.services.intake import MAX_PHOTO_BYTES, PhotoOutcome
from triage_app.services.services import Services

_DRIVE_OR_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFileRun:
    """The case as it now is, and the answer to each photo in the order of the file."""

    case: Case
    photos: tuple[PhotoOutcome, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _PlannedMark:
    where: str
    photo: str
    outline: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class _PlannedFinding:
    tags: Tags
    marks: tuple[_PlannedMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """A case file that was checked as far as that goes without opening a photo."""

    key: str
    reference: str | None
    vehicle: Vehicle
    incident: Incident
    photos: Mapping[str, tuple[str, Traversable]]
    findings: tuple[_PlannedFinding, ...]


def load_case_file(
    services: Services, folder: Traversable, toml_text: str, *, by: Operator
) -> CaseFileRun:
    """Open the case that ``toml_text`` describes, with its photos from ``folder``.

    ``folder`` is a Path, or a folder of package files. Raises InvalidInputError naming the field
    (then nothing was stored), PhotoRejectedError when a photo cannot be used (then the case
    holds the others, and the same case file may be run again), StorageError.
    """
    plan = _plan(services, folder, toml_text)
    case = services.intake.open_case(
        by=by,
        reference=plan.reference,
        vehicle=plan.vehicle,
        incident=plan.incident,
        case_id=CaseId(f"F{plan.key}"),
    )
    outcomes, photo_ids = _take_in_photos(services, case, plan, by)
    for number, finding in enumerate(plan.findings, start=1):
        case = _mark(services, case, plan.key, number, finding, photo_ids, by)
    return CaseFileRun(case=services.cases.get(case.id), photos=outcomes)


def _plan(services: Services, folder: Traversable, toml_text: str) -> _Plan:
    script = read_case_toml(toml_text)
    photos: dict[str, tuple[str, Traversable]] = {}
    for number, photo in enumerate(script.photo, start=1):
        if photo.called in photos:
            raise _wrong(f"photo {number}", f"the name '{photo.called}' is used twice")
        photos[photo.called] = (photo.file, _photo_file(folder, photo, f"photo {number}"))
    findings = []
    for number, finding in enumerate(script.finding, start=1):
        findings.append(_planned_finding(services, finding, f"finding {number}", photos))
    return _Plan(
        key=hashlib.sha256(toml_text.encode()).hexdigest()[:31],
        reference=script.case.reference,
        vehicle=_vehicle(script),
        incident=_incident(script),
        photos=photos,
        findings=tuple(findings),
    )


def _vehicle(script: CaseToml) -> Vehicle:
    try:
        return Vehicle(**dict(script.vehicle))
    except InvalidInputError as error:
        raise _wrong("vehicle", str(error)) from error


def _incident(script: CaseToml) -> Incident:
    try:
        return Incident(**dict(script.incident))
    except InvalidInputError as error:
        raise _wrong("incident", str(error)) from error


def _photo_file(folder: Traversable, photo: PhotoTable, where: str) -> Traversable:
    parts = photo.file.split("/")
    outside = (
        "\\" in photo.file
        or not photo.file.isprintable()
        or _DRIVE_OR_SCHEME.match(photo.file)
        or any(part in ("", ".", "..") for part in parts)
    )
    if outside:
        raise _wrong(f"{where}, file", "it must be a plain path inside the folder of the case file")
    try:
        file = folder.joinpath(*parts)
        if isinstance(file, Path) and isinstance(folder, Path):
            # A link may lead out of the folder although its path does not.
            if not file.resolve().is_relative_to(folder.resolve()):
                raise _wrong(f"{where}, file", "it leads out of the folder of the case file")
            if file.is_file() and file.stat().st_size > MAX_PHOTO_BYTES:
                raise _wrong(f"{where}, file", "the file is larger than 200 MB")
        if not file.is_file():
            raise _wrong(f"{where}, file", f"there is no file '{photo.file}' beside the case file")
    except OSError as error:
        raise _wrong(f"{where}, file", f"'{photo.file[:80]}' cannot be opened") from error
    return file


def _planned_finding(
    services: Services, finding: FindingTable, where: str, photos: Mapping[str, object]
) -> _PlannedFinding:
    try:
        tags = _tags(finding)
        services.marking.check_tags(tags)
    except InvalidInputError as error:
        raise _wrong(where, str(error)) from error
    if not finding.mark and tags == Tags():
        raise _wrong(where, "say what is damaged, or draw a mark")
    marks = []
    for number, mark in enumerate(finding.mark, start=1):
        at = f"{where}, mark {number}"
        if mark.photo not in photos:
            raise _wrong(f"{at}, photo", f"there is no photo '{mark.photo}' in the case file")
        try:
            marks.append(_PlannedMark(where=at, photo=mark.photo, outline=_outline(mark)))
        except InvalidInputError as error:
            raise _wrong(at, str(error)) from error
    return _PlannedFinding(tags=tags, marks=tuple(marks))


def _tags(finding: FindingTable) -> Tags:
    return Tags(
        component=ComponentId(finding.component) if finding.component else None,
        damage=DamageId(finding.damage) if finding.damage else None,
        zone=ZoneId(finding.zone) if finding.zone else None,
        side=finding.side,
        measures=Measures(
            length_mm=finding.length_mm,
            width_mm=finding.width_mm,
            depth_mm=finding.depth_mm,
            distance_to_hv_mm=finding.distance_to_hv_mm,
            distance_uncertainty_mm=finding.distance_uncertainty_mm,
            covers_off=finding.covers_off,
            measured_how=finding.measured_how,
        ),
        hv_conductor_visible=finding.hv_conductor_visible,
        hangs_free=finding.hangs_free,
        note=finding.note,
    )


def _outline(mark: MarkTable) -> Outline:
    given = [shape for shape in (mark.box, mark.polygon, mark.ellipse) if shape is not None]
    if len(given) != 1:
        raise InvalidInputError("Give exactly one of box, polygon and ellipse.")
    if mark.holes and mark.polygon is None:
        raise InvalidInputError("Only a polygon can have holes.")
    if mark.box is not None:
        return rectangle(*mark.box)
    if mark.ellipse is not None:
        return Ellipse(
            centre=Point(*mark.ellipse.centre),
            radius_x_px=mark.ellipse.radii_px[0],
            radius_y_px=mark.ellipse.radii_px[1],
            angle_deg=mark.ellipse.angle_deg,
        )
    rings = (mark.polygon or (), *mark.holes)
    return Rings(
        shape=RingShape.POLYGON, rings=tuple(tuple(Point(*xy) for xy in ring) for ring in rings)
    )


def _take_in_photos(
    services: Services, case: Case, plan: _Plan, by: Operator
) -> tuple[tuple[PhotoOutcome, ...], dict[str, PhotoId]]:
    outcomes, photo_ids = [], {}
    for name, (file_name, file) in plan.photos.items():
        try:
            data = file.read_bytes()
        except OSError as error:
            raise PhotoRejectedError(
                f"The file '{file_name}' cannot be read. Case {case.reference} holds the photos "
                "before it; run the same case file again when the file can be read."
            ) from error
        outcome = services.intake.add_photo(case.id, data, file_name=file_name, by=by)
        outcomes.append(outcome)
        if outcome.photo is not None:
            photo_ids[name] = outcome.photo.id
    refused = [outcome for outcome in outcomes if outcome.photo is None]
    if refused:
        raise PhotoRejectedError(
            f"The photo '{refused[0].file_name}' was refused: {refused[0].reason} "
            f"Case {case.reference} holds the other photos and no finding yet; replace the file "
            "and run the same case file again."
        )
    return tuple(outcomes), photo_ids


def _mark(
    services: Services,
    case: Case,
    key: str,
    number: int,
    finding: _PlannedFinding,
    photo_ids: Mapping[str, PhotoId],
    by: Operator,
) -> Case:
    finding_id = FindingId(f"F{key}-{number}")
    known = case.find_finding(finding_id)
    if known and known.revision >= len(finding.marks):
        return case  # It was drawn whole before; what people changed since stays.
    if not finding.marks:
        return services.marking.add_finding(case.id, finding.tags, by=by, finding_id=finding_id)
    for count, mark in enumerate(finding.marks, start=1):
        try:
            case = services.marking.mark(
                case.id,
                photo_ids[mark.photo],
                mark.outline,
                by=by,
                finding_id=finding_id,
                mark_id=MarkId(f"F{key}-{number}-{count}"),
                tags=finding.tags if case.find_finding(finding_id) is None else None,
            ).case
        except InvalidInputError as error:
            raise _wrong(mark.where, str(error)) from error
    return case


def _wrong(where: str, why: str) -> InvalidInputError:
    return InvalidInputError(f"The case file cannot be used: '{where}': {why.rstrip('.')}.")
