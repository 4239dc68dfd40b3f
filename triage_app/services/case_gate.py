"""Admission and inspection in a case file: planned before anything is stored, then on record."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules import ComponentId, ZoneId
from triage_app.casefile.case_toml import (
    AdmissionDecisionTable,
    ExpectedPhotoTable,
    InspectionTable,
)
from triage_app.domain.admission.commands import DecideAdmission
from triage_app.domain.admission.entries import HoldDecided, Verdict
from triage_app.domain.admission.status import admission_of
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import AdmissionId, InspectionId, PhotoId
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.vehicle import Incident
from triage_app.services.permission import in_the_name_of
from triage_app.services.services import Services


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDecision:
    """A decision to be. It is that of whoever runs the case file, never in another's name."""

    verdict: Verdict
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedInspection:
    """Items to be inspected; without ``parts`` all of the zone that no finding is about."""

    zone: ZoneId
    parts: tuple[ComponentId, ...]
    state: ItemState
    reason: str
    covers_off: bool | None
    inspected_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedExpectedPhoto:
    """An expected photo to be, with the photos by their names in the case file."""

    expected: ExpectedPhoto
    photos: tuple[str, ...]
    reason: str


def planned_decision(table: AdmissionDecisionTable, incident: Incident) -> PlannedDecision:
    """Return what a table asks for; InvalidInputError where nothing would hold the car."""
    is_needless = set(incident.signs.values()) == {False}
    if table.verdict is Verdict.ADMITTED and is_needless:
        raise InvalidInputError("Nothing holds this car, so there is nothing to decide.")
    if not table.reason.strip():
        raise InvalidInputError("Give the reason.")
    return PlannedDecision(verdict=table.verdict, reason=table.reason)


def planned_inspection(table: InspectionTable) -> PlannedInspection:
    """Return what a table asks for; raises InvalidInputError."""
    if not table.parts and table.state.was_seen:
        raise InvalidInputError(
            "Name the parts that were seen; only what was not seen goes by zone."
        )
    zone, parts = ZoneId(table.zone), tuple(map(ComponentId, table.parts))
    if parts:
        ItemsInspected(
            items=tuple(Item(zone=zone, component=part) for part in parts), state=table.state
        )
    if table.inspected_by.strip():
        Operator(name=table.inspected_by)
    return PlannedInspection(
        zone=zone,
        parts=parts,
        state=table.state,
        reason=table.reason,
        covers_off=table.covers_off,
        inspected_by=table.inspected_by,
    )


def planned_expected_photo(
    table: ExpectedPhotoTable, known: Mapping[str, object]
) -> PlannedExpectedPhoto:
    """Return what a table asks for; InvalidInputError for a photo that the file does not name."""
    for name in table.photos:
        if name not in known:
            raise InvalidInputError(f"There is no photo '{name}' in the case file.")
    PhotosPointedAt(
        expected=table.what, photo_ids=tuple(map(PhotoId, table.photos)), reason=table.none_because
    )
    return PlannedExpectedPhoto(expected=table.what, photos=table.photos, reason=table.none_because)


def decided(case: Case, planned: PlannedDecision, signed: Signed) -> Case:
    """Return the case value with the decision, over the answers in it; nothing is stored."""
    seen = admission_of(case).causes
    what = HoldDecided(verdict=planned.verdict, reason=planned.reason, seen=seen)
    return DecideAdmission(entry_id=AdmissionId("planned"), what=what).apply(case, signed)


def decide(
    services: Services, case: Case, key: str, planned: PlannedDecision, by: Operator
) -> None:
    """Put the decision on record, once, over the answers as they are now."""
    services.admission.decide(
        case.id,
        planned.verdict,
        reason=planned.reason,
        seen=services.admission.status(case).causes,
        by=by,
        entry_id=AdmissionId(f"F{key}-A"),
    )


def inspect(
    services: Services,
    case: Case,
    key: str,
    number: int,
    planned: PlannedInspection,
    by: Operator,
) -> None:
    """Put what was seen on record, once."""
    items = [Item(zone=planned.zone, component=part) for part in planned.parts]
    entry_id = InspectionId(f"F{key}-I{number}")
    if any(entry.id == entry_id for entry in case.inspection):
        return
    listed = services.inspection.checklist(case)
    if not items:
        here = (one for one in listed.items if one.item.zone == planned.zone)
        items = [one.item for one in here if not one.findings and one.entry is None]
    services.inspection.inspect(
        case.id,
        items,
        planned.state,
        by=in_the_name_of(planned.inspected_by, by),
        reason=planned.reason,
        covers_off=planned.covers_off,
        entry_id=entry_id,
    )


def point_at(
    services: Services,
    case: Case,
    key: str,
    number: int,
    planned: PlannedExpectedPhoto,
    photo_ids: Mapping[str, PhotoId],
    by: Operator,
) -> None:
    """Put the expected photo on record, once."""
    services.inspection.point_at(
        case.id,
        planned.expected,
        by=by,
        photo_ids=[photo_ids[name] for name in planned.photos],
        reason=planned.reason,
        entry_id=InspectionId(f"F{key}-X{number}"),
    )
