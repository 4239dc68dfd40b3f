"""Evidence in a case file: planned before anything is stored, put on record after the findings."""

from collections.abc import Callable
from dataclasses import dataclass

from rules import OpenTestId
from triage_app.casefile.case_toml import EvidenceTable
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import EvidenceEntry, Instrument, MakerCriterion
from triage_app.domain.evidence_standing import Standing, standing_of
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, is_same_person
from triage_app.services.evidence import EvidenceRecords
from triage_app.services.permission import in_the_name_of, require


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedEvidence:
    """A record to be. ``recorded_by`` empty is whoever runs the case file."""

    entry: EvidenceEntry
    recorded_by: str
    accepted: bool


CheckEvidence = Callable[[PlannedEvidence], None]


def planned_evidence(table: EvidenceTable) -> PlannedEvidence:
    """Return what a table asks for; raises InvalidInputError."""
    entry = EvidenceEntry(
        kind=table.kind,
        test=None if table.test is None else OpenTestId(table.test),
        outcome=table.outcome,
        value=table.value,
        unit=table.unit,
        instrument=_instrument(table),
        criterion=_criterion(table),
        instruction=table.instruction,
        note=table.note,
    )
    return PlannedEvidence(
        entry=entry,
        recorded_by=table.recorded_by,
        accepted=table.accepted,
    )


def checker(records: EvidenceRecords, by: Operator) -> CheckEvidence:
    """Return the check of what ``by``, who runs the case file, may record and accept."""

    def check(planned: PlannedEvidence) -> None:
        if planned.accepted:
            require(by, Action.ACCEPT_EVIDENCE)
        records.check(planned.entry, to_accept=planned.accepted)
        recorder = in_the_name_of(planned.recorded_by, by)
        if planned.accepted and is_same_person(recorder.name, by.name):
            raise InvalidInputError(
                f"{by.name} runs the case file and cannot accept what {recorder.name} recorded; "
                "another named person has to."
            )

    return check


def put_on_record(
    records: EvidenceRecords,
    case: Case,
    planned: PlannedEvidence,
    *,
    record_id: EvidenceId,
    finding_id: FindingId | None,
    by: Operator,
) -> Case:
    """Record and, where asked for, accept; what people did with the record since stays."""
    case = records.record(
        case,
        planned.entry,
        by=in_the_name_of(planned.recorded_by, by),
        finding_id=finding_id,
        record_id=record_id,
    )
    record = case.evidence_record(record_id)
    if planned.accepted and standing_of(case, record) is Standing.WAITING:
        return records.accept(case.id, record_id, by=by)
    return case


def _instrument(table: EvidenceTable) -> Instrument | None:
    if not (table.instrument or table.serial or table.calibration_due):
        return None
    return Instrument(
        name=table.instrument, serial=table.serial, calibration_due=table.calibration_due
    )


def _criterion(table: EvidenceTable) -> MakerCriterion | None:
    if not (table.criterion or table.document or table.document_date):
        return None
    return MakerCriterion(
        text=table.criterion, document=table.document, document_date=table.document_date
    )
