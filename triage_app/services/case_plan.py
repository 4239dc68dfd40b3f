"""What a case file asks for, checked as far as that goes without opening a photo."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import ParamSpec, TypeVar

from rules import ComponentId, DamageId, EvidenceKind, ZoneId
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.case_toml import (
    CaseToml,
    EvidenceTable,
    FindingTable,
    MarkTable,
    PhotoTable,
    read_case_toml,
)
from triage_app.casefile.make_safe_toml import MakeSafeTable
from triage_app.domain.admission.commands import with_answers
from triage_app.domain.case import Case, Finding, Measures, Tags
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import Ellipse, Outline, Point, Rings, RingShape, rectangle
from triage_app.domain.ids import CaseId, FindingId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Incident, Vehicle
from triage_app.services.case_evidence import PlannedEvidence, planned_evidence
from triage_app.services.case_gate import (
    PlannedDecision,
    PlannedExpectedPhoto,
    PlannedInspection,
    decided,
    planned_decision,
    planned_expected_photo,
    planned_inspection,
)
from triage_app.services.case_make_safe import PlannedEntry, Rehearse, planned_entry
from triage_app.services.intake import MAX_PHOTO_BYTES

_P = ParamSpec("_P")
_R = TypeVar("_R")
_DRIVE_OR_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMark:
    """An outline, the name of its photo, and ``where`` in the case file it stands."""

    where: str
    photo: str
    outline: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFinding:
    """One damage; without marks when no photo shows it."""

    tags: Tags
    marks: tuple[PlannedMark, ...]
    evidence: tuple[PlannedEvidence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A checked case file. ``key`` is made from its text and starts every id of the case."""

    key: str
    reference: str | None
    vehicle: Vehicle
    incident: Incident
    photos: Mapping[str, tuple[str, Traversable]]
    findings: tuple[PlannedFinding, ...]
    evidence: tuple[PlannedEvidence, ...]
    decision: PlannedDecision | None
    inspection: tuple[PlannedInspection, ...]
    expected_photos: tuple[PlannedExpectedPhoto, ...]
    make_safe: tuple[PlannedEntry, ...]

    def case(self, signed: Signed) -> Case:
        """Return the case as it will be, without photos, marks, evidence and make-safe record."""
        findings = tuple(
            Finding(id=FindingId(f"{number}"), number=number, tags=each.tags, created=signed)
            for number, each in enumerate(self.findings, start=1)
        )
        case = Case(
            id=CaseId("planned"),
            reference=self.reference or "planned",
            opened=signed,
            vehicle=self.vehicle,
            findings=findings,
        )
        case = with_answers(case, self.incident, signed)
        return case if self.decision is None else decided(case, self.decision, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Checks:
    """What is asked of the words and records in a case file; each raises InvalidInputError.

    ``signed`` is who runs it and when: times told as "40 min ago" count from then.
    """

    tags: Callable[[Tags], None]
    evidence: Callable[[PlannedEvidence], None]
    make_safe: Rehearse
    signed: Signed


def key_of(toml_text: str) -> str:
    """Return what starts every id of the case that this text describes."""
    return sha256_of(toml_text)[:31]


def plan_case(toml_text: str, folder: Traversable, checks: Checks) -> Plan:
    """Return what a case file asks for; InvalidInputError names the first field that is wrong."""
    script = read_case_toml(toml_text)
    photos: dict[str, tuple[str, Traversable]] = {}
    for number, photo in enumerate(script.photo, start=1):
        if photo.called in photos:
            raise wrong(f"photo {number}", f"the name '{photo.called}' is used twice")
        photos[photo.called] = (photo.file, _photo_file(folder, photo, f"photo {number}"))
    findings = []
    for number, finding in enumerate(script.finding, start=1):
        findings.append(_planned_finding(checks, finding, f"finding {number}", photos))
    incident = _incident(script)
    plan = Plan(
        key=key_of(toml_text),
        reference=script.case.reference,
        vehicle=_vehicle(script),
        incident=incident,
        photos=photos,
        findings=tuple(findings),
        evidence=_planned_evidence(checks, script.evidence, ""),
        decision=_decision(script, incident),
        inspection=tuple(
            _at(f"inspection {number}", planned_inspection, table)
            for number, table in enumerate(script.inspection, start=1)
        ),
        expected_photos=tuple(
            _at(f"expected_photo {number}", planned_expected_photo, table, photos)
            for number, table in enumerate(script.expected_photo, start=1)
        ),
        make_safe=_planned_record(script.make_safe, photos, checks.signed.at),
    )
    checks.make_safe(plan.case(checks.signed), plan.make_safe)
    return plan


def _planned_record(
    tables: tuple[MakeSafeTable, ...], photos: Mapping[str, object], now: datetime
) -> tuple[PlannedEntry, ...]:
    planned = []
    for number, table in enumerate(tables, start=1):
        where = f"make_safe {number}"
        if table.photo is not None and table.photo not in photos:
            raise wrong(f"{where}, photo", f"there is no photo '{table.photo}' in the case file")
        try:
            planned.append(planned_entry(table, where, now))
        except InvalidInputError as error:
            raise wrong(where, str(error)) from error
    return tuple(planned)


def _decision(script: CaseToml, incident: Incident) -> PlannedDecision | None:
    table = script.admission_decision
    return None if table is None else _at("admission_decision", planned_decision, table, incident)


def _at(where: str, planned: Callable[_P, _R], *args: _P.args, **kwargs: _P.kwargs) -> _R:
    try:
        return planned(*args, **kwargs)
    except InvalidInputError as error:
        raise wrong(where, str(error)) from error


def _vehicle(script: CaseToml) -> Vehicle:
    try:
        return Vehicle(**dict(script.vehicle))
    except InvalidInputError as error:
        raise wrong("vehicle", str(error)) from error


def _incident(script: CaseToml) -> Incident:
    try:
        return Incident(**dict(script.incident))
    except InvalidInputError as error:
        raise wrong("incident", str(error)) from error


def _photo_file(folder: Traversable, photo: PhotoTable, where: str) -> Traversable:
    parts = photo.file.split("/")
    outside = (
        "\\" in photo.file
        or not photo.file.isprintable()
        or _DRIVE_OR_SCHEME.match(photo.file)
        or any(part in ("", ".", "..") for part in parts)
    )
    if outside:
        raise wrong(f"{where}, file", "it must be a plain path inside the folder of the case file")
    try:
        file = folder.joinpath(*parts)
        if isinstance(file, Path) and isinstance(folder, Path):
            # A link may lead out of the folder although its path does not.
            if not file.resolve().is_relative_to(folder.resolve()):
                raise wrong(f"{where}, file", "it leads out of the folder of the case file")
            if file.is_file() and file.stat().st_size > MAX_PHOTO_BYTES:
                raise wrong(f"{where}, file", "the file is larger than 200 MB")
        if not file.is_file():
            raise wrong(f"{where}, file", f"there is no file '{photo.file}' beside the case file")
    except OSError as error:
        raise wrong(f"{where}, file", f"'{photo.file[:80]}' cannot be opened") from error
    return file


def _planned_finding(
    checks: Checks, finding: FindingTable, where: str, photos: Mapping[str, object]
) -> PlannedFinding:
    try:
        tags = _tags(finding)
        checks.tags(tags)
    except InvalidInputError as error:
        raise wrong(where, str(error)) from error
    if not finding.mark and tags == Tags():
        raise wrong(where, "say what is damaged, or draw a mark")
    marks = []
    for number, mark in enumerate(finding.mark, start=1):
        at = f"{where}, mark {number}"
        if mark.photo not in photos:
            raise wrong(f"{at}, photo", f"there is no photo '{mark.photo}' in the case file")
        try:
            marks.append(PlannedMark(where=at, photo=mark.photo, outline=_outline(mark)))
        except InvalidInputError as error:
            raise wrong(at, str(error)) from error
    return PlannedFinding(
        tags=tags,
        marks=tuple(marks),
        evidence=_planned_evidence(checks, finding.evidence, f"{where}, "),
    )


def _planned_evidence(
    checks: Checks, tables: tuple[EvidenceTable, ...], of_what: str
) -> tuple[PlannedEvidence, ...]:
    planned = []
    for number, table in enumerate(tables, start=1):
        where = f"{of_what}evidence {number}"
        if not of_what and table.kind is not EvidenceKind.TEST_RESULT:
            raise wrong(where, "only a test can be about the whole car")
        try:
            planned.append(planned_evidence(table))
            checks.evidence(planned[-1])
        except InvalidInputError as error:
            raise wrong(where, str(error)) from error
    return tuple(planned)


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


def wrong(where: str, why: str) -> InvalidInputError:
    """Return the error that names a place in the case file."""
    return InvalidInputError(f"The case file cannot be used: '{where}': {why.rstrip('.')}.")
